"""HEIF and AVIF are read as stored, whatever they ask to be turned, or say why they are not."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests.pictures import grey, portrait
from tests.samples import HOW, folder
from tether.frame import picture
from tether.frame.coding import coded_anew
from tether.frame.file import Unreadable
from tether.frame.orientation import upright
from tether.frame.picture import Picture
from tether.frame.subject import ask
from tether.settings import Area
from tether.sharpness.tone import linear

KINDS = pytest.mark.parametrize("kind", ["HEIF", "AVIF"])


def written(pixels: NDArray[np.uint8], kind: str = "HEIF", orientation: int = 1) -> bytes:
    pillow_heif.register_heif_opener()
    exif, out = Image.Exif(), io.BytesIO()
    exif[0x0112] = orientation
    exif[0x0110] = "Studio One"
    Image.fromarray(pixels).save(out, kind, quality=95, exif=exif.tobytes())
    return out.getvalue()


def read(path: Path, data: bytes) -> Picture:
    path.write_bytes(data)
    return picture.read(data, path)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "bowl.heic"


@pytest.fixture(scope="module")
def samples() -> Path:
    within = folder()
    if within is None:
        pytest.skip(HOW)
    return within


@KINDS
@pytest.mark.parametrize("orientation", range(1, 9))
def test_pixels_are_those_that_were_stored_and_the_orientation_is_told(
    path: Path, kind: str, orientation: int
) -> None:
    # Source: the pixels that another library was given to write.
    stored = np.ascontiguousarray(portrait()[:200, :320])
    found = read(path, written(stored, kind, orientation))
    assert found.luma.shape == (200, 320)
    assert found.tags.orientation == orientation
    away = np.abs(found.luma.astype(int) - np.asarray(Image.fromarray(stored).convert("L")))
    assert away.mean() < 3
    assert found.tags.exposure.body == "Studio One"


def test_turned_avif_is_upright_as_other_programs_show_it(samples: Path) -> None:
    # Source: the pictures beside them in kimageformats' tests.
    seen = 0
    for path in (samples / "kimageformats-5.103.0/autotests/read/avif").glob("*rotated*.avif"):
        found = picture.read(path.read_bytes(), path)
        shown = np.asarray(Image.open(path.with_suffix(".png")).convert("L")).astype(int)
        turned = upright(found.luma, found.tags.orientation).astype(int)
        assert turned.shape == shown.shape, path.name
        assert np.abs(turned - shown).mean() < 4, path.name
        seen += 1
    assert seen == 12


def test_a_turned_telephones_subject_area_lies_where_it_was_stored(samples: Path) -> None:
    # Source: ExifTool 12.57: ImageSpatialExtent 4032x3024, Rotation 270, Orientation 6,
    # SubjectArea 841 1124 751 753.
    path = samples / "exiv2-0.27.6/test/data/2021-02-13-1929.heic"
    found = picture.read(path.read_bytes(), path)
    assert (found.width, found.height, found.tags.orientation) == (4032, 3024, 6)
    rect = ask(found, Area()).rect
    assert rect is not None
    assert (rect.x, rect.y, rect.width, rect.height) == (466, 748, 751, 753)


def test_a_cameras_ten_bits_of_high_range_are_read(samples: Path) -> None:
    # Source: ExifTool 12.57 of a Canon's file: 2400 x 1600, SMPTE ST 2084.
    path = samples / "exiv2-0.27.6/test/data/Canon.HIF"
    found = picture.read(path.read_bytes(), path)
    assert found.luma.dtype == np.uint16
    assert found.luma.shape == (1600, 2400)


def test_high_range_is_coded_anew_as_light_of_a_thousandth() -> None:
    # Source: ITU-R BT.2408, table 1: HDR reference white, 203 cd/m², is 58 % PQ and 75 % HLG.
    white = np.rint(65535 * np.array([[0.0, 0.58, 0.75]])).astype(np.uint16)
    pq, hlg = (linear(coded_anew(white, transfer)[0])[0] for transfer in (16, 18))
    assert pq[:2] == pytest.approx([0, 0.203], abs=0.003)
    assert hlg[2] == pytest.approx(0.265, abs=0.002)
    assert coded_anew(white, 13)[0] is white


def test_of_several_pictures_the_main_one_is_judged_and_it_is_said(path: Path) -> None:
    file, out = pillow_heif.from_pillow(Image.fromarray(grey()[:100, :100])), io.BytesIO()
    file.add_from_pillow(Image.fromarray(portrait()))
    file.save(out, primary_index=1, quality=95)
    found = read(path, out.getvalue())
    assert (found.luma.shape, found.judged_from) == ((512, 512), "the main one of 2 pictures")


def test_grey_and_transparent_ones_are_read(path: Path) -> None:
    plain = read(path, written(grey())).luma
    assert np.abs(plain.astype(int) - grey()).mean() < 3
    clear = np.dstack([portrait(), np.full((512, 512), 9, np.uint8)])
    shown = np.asarray(Image.fromarray(portrait()).convert("L")).astype(int)
    assert np.abs(read(path, written(clear)).luma - shown).mean() < 3


@KINDS
@pytest.mark.parametrize("share", [0.02, 0.5, 0.98])
def test_one_cut_short_says_so(path: Path, kind: str, share: float) -> None:
    whole = written(portrait(), kind)
    with pytest.raises(Unreadable, match=r"cut short|not an? (HEIF|AVIF)"):
        read(path, whole[: int(len(whole) * share)])


def test_a_sequence_and_a_film_are_named(path: Path) -> None:
    box = b"\0\0\0\x18ftyp%b\0\0\0\0heicmsf1" + b"\0\0\0\x10moov" + bytes(8)
    for brand in (b"msf1", b"hevc", b"isom"):
        with pytest.raises(Unreadable, match="a sequence of pictures, or a film"):
            read(path, box % brand)


def test_what_is_none_says_so(path: Path) -> None:
    with pytest.raises(Unreadable, match="whatever its name says"):
        read(path, b"not a picture" * 100)
    with pytest.raises(Unreadable, match="not a HEIF picture that can be read"):
        read(path, b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0\0\0\x10meta" + bytes(8))
    # Its properties are another item's, so that there is no picture (ISO/IEC 23008-12, 9.3.1).
    ours, another = (b"ipma" + bytes(4) + bytes((0, 0, 0, 1, 0, item)) for item in (1, 9))
    with pytest.raises(Unreadable, match="there is no picture in it"):
        read(path, written(portrait()).replace(ours, another))
    with pytest.raises(Unreadable, match="40 x 40 px is too small"):
        read(path, written(portrait()[:40, :40]))
