"""A raw is judged from its own full-size JPEG, else from its samples, or says why it is not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from mocks.raw import X_TRANS, dng, mosaic
from tests.pictures import jpeg, portrait, tagged
from tests.samples import HOW, folder, pictures
from tests.sharpness.pictures import light
from tether.frame import kinds, picture
from tether.frame.file import Unreadable
from tether.frame.picture import Picture
from tether.frame.pixels import luma
from tether.sharpness.tone import linear

LIGHT = light(portrait()) * 0.7
COUNTS = mosaic(LIGHT)
SAMPLES = "the raw's green samples"


def reduced(side: int) -> bytes:
    return jpeg(np.asarray(Image.fromarray(portrait()).resize((side, side))))


def read(path: Path, data: bytes) -> Picture:
    path.write_bytes(data)
    return picture.read(data, path)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "bowl.dng"


def test_a_full_size_jpeg_inside_is_what_is_judged(path: Path) -> None:
    whole = jpeg(portrait())
    found = read(path, dng(COUNTS, whole))
    assert np.array_equal(found.luma, luma(whole))
    assert found.judged_from == "the embedded JPEG, 512 x 512 px"


def test_one_of_seven_tenths_is_too_and_says_of_what(path: Path) -> None:
    found = read(path, dng(COUNTS, reduced(359)))
    assert found.judged_from == "the embedded JPEG, 359 x 359 px, of a raw of 512 x 512 px"


def test_a_smaller_one_is_not(path: Path) -> None:
    found = read(path, dng(COUNTS, reduced(357)))
    assert (found.luma.shape, found.judged_from) == ((512, 512), SAMPLES)


def test_one_that_lies_the_other_way_is_not(path: Path) -> None:
    upright = jpeg(np.ascontiguousarray(np.rot90(portrait()[:400])))
    assert read(path, dng(COUNTS[:400], upright)).judged_from == SAMPLES


@pytest.mark.parametrize("pattern", [("RG", "GB"), ("GB", "RG"), ("BG", "GR"), X_TRANS])
def test_samples_are_the_green_light(path: Path, pattern: tuple[str, ...]) -> None:
    smooth = light(portrait(1.5)) * 0.7
    found = read(path, dng(mosaic(smooth, pattern), pattern=pattern))
    assert found.luma.dtype == np.uint16
    away = np.abs(linear(found.luma, found.tags.curve) - smooth[..., 1])
    assert np.quantile(away[8:-8, 8:-8], 0.999) < 0.01
    at_greens = np.array([[one == "G" for one in row] for row in pattern])
    y, x = (int(one[0]) for one in np.nonzero(at_greens))
    assert away[y :: len(pattern), x :: len(pattern)].max() < 2e-4


def test_samples_are_coded_by_us_whatever_the_exif_says_of_the_jpeg(path: Path) -> None:
    adobe = tagged(dng(COUNTS), {"Exif.Iop.InteroperabilityIndex": "R03"})
    assert read(path, adobe).tags.curve == "sRGB"


def test_a_turned_raw_is_read_as_stored(path: Path) -> None:
    found = read(path, dng(COUNTS[:400], orientation=6))
    assert found.luma.shape == (400, 512)
    assert found.tags.orientation == 6


def test_the_metadata_holds_for_the_size_that_is_judged(path: Path) -> None:
    # 1000 px a cm at full size: 10 µm, and a third more where three of four pixels are left.
    told = {
        "Exif.Photo.FocalPlaneXResolution": "1000/1",
        "Exif.Photo.FocalPlaneResolutionUnit": "3",
        "Exif.Photo.SubjectArea": "300 200 80 60",
    }
    full = read(path, tagged(dng(COUNTS, jpeg(portrait())), told))
    less = read(path, tagged(dng(COUNTS, reduced(384)), told))
    assert full.tags.exposure.pixel_pitch_um == pytest.approx(10)
    assert less.tags.exposure.pixel_pitch_um == pytest.approx(10 / 0.75, abs=0.001)
    assert less.tags.subject == (300, 200, 80, 60)
    assert less.tags.recorded == (512, 512)


@pytest.mark.parametrize("share", [0.001, 0.1, 0.5, 0.99])
def test_one_cut_short_says_so(path: Path, share: float) -> None:
    whole = dng(COUNTS)
    with pytest.raises(Unreadable, match=r"ends too early|cut short|not a raw file"):
        read(path, whole[: int(len(whole) * share)])


def test_a_damaged_jpeg_inside_says_so(path: Path) -> None:
    whole = jpeg(portrait())
    broken = whole[: len(whole) // 2] + bytes(len(whole) // 2)
    with pytest.raises(Unreadable, match=r"^the JPEG embedded in the raw: the JPEG "):
        read(path, dng(COUNTS, broken))


def test_a_raw_too_small_or_too_large_says_so(path: Path) -> None:
    with pytest.raises(Unreadable, match="48 x 48 px is too small"):
        read(path, dng(COUNTS[:48, :48]))
    whole = bytearray(dng(COUNTS))
    for number in (256, 257):
        tag = whole.index(number.to_bytes(2, "little") + b"\4\0\1\0\0\0")
        whole[tag + 8 : tag + 12] = (40_000).to_bytes(4, "little")
    with pytest.raises(Unreadable, match="40000 x 40000 px is more than can be judged"):
        read(path, bytes(whole))


def test_what_a_name_promises_is_not_believed(tmp_path: Path) -> None:
    whole = jpeg(portrait())
    assert np.array_equal(read(tmp_path / "a jpeg.nef", whole).luma, luma(whole))
    found = read(tmp_path / "a raw.tif", dng(COUNTS, reduced(160)))
    assert (found.luma.shape, found.judged_from) == ((512, 512), SAMPLES)
    for name in ("text.cr2", "text.raf"):
        with pytest.raises(Unreadable, match="not a raw file that can be read"):
            read(tmp_path / name, b"not a picture" * 100)


def test_every_real_raw_is_read_or_says_why_not() -> None:
    # Of the samples only one is whole: the others were cut to what their metadata needs.
    within = folder()
    if within is None:
        pytest.skip(HOW)
    told = {}
    for path in pictures(within, kinds.RAW):
        try:
            told[path.name] = picture.read(path.read_bytes(), path).judged_from
        except Unreadable as problem:
            told[path.name] = str(problem)
    assert len(told) > 20
    assert all(told.values())
    whole = [name for name, said in told.items() if said == SAMPLES]
    assert whole == ["RAW_KODAK_C330_FORMAT_NONE_YRGB.raw"]


def test_a_real_raw_shows_what_another_program_developed() -> None:
    # Source: the picture beside it in kimageformats' tests.
    within = folder()
    if within is None:
        pytest.skip(HOW)
    place = within / "kimageformats-5.103.0/autotests/read/raw"
    path = place / "RAW_KODAK_C330_FORMAT_NONE_YRGB.raw"
    found = picture.read(path.read_bytes(), path).luma
    developed = np.asarray(Image.open(path.with_suffix(".png")).convert("L"))
    assert found.shape == developed.shape
    alike = np.corrcoef(found.ravel()[::7], developed.ravel()[::7])[0, 1]
    assert alike > 0.97
