"""Luma is what an independent reader finds, and what cannot be read says why."""

from __future__ import annotations

import io
import struct

import numpy as np
import pytest
from PIL import Image
from skimage import data

from tests.pictures import grey, jpeg, portrait, through_pillow
from tether.frame.file import Unreadable
from tether.frame.pixels import luma


def pillow_luma() -> np.ndarray:
    return np.asarray(Image.fromarray(portrait()).convert("L")).astype(int)


@pytest.mark.parametrize(
    ("kind", "how"),
    [
        ("JPEG", {"quality": 97, "subsampling": 0}),
        ("JPEG", {"quality": 97, "progressive": True}),
        ("PNG", {}),
        ("TIFF", {}),
        ("TIFF", {"compression": "tiff_lzw"}),
    ],
)
def test_colour_becomes_the_luma_of_bt_601(kind: str, how: dict[str, object]) -> None:
    found = luma(through_pillow(portrait(), kind, **how))
    assert found.dtype == np.uint8
    assert np.abs(found - pillow_luma()).mean() < 1.5


def test_cmyk_reads_as_light_not_as_ink() -> None:
    out = io.BytesIO()
    Image.fromarray(portrait()).convert("CMYK").save(out, "JPEG", quality=97)
    assert np.abs(luma(out.getvalue()) - pillow_luma()).mean() < 3


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_sixteen_bits_stay_sixteen(kind: str) -> None:
    deep = data.camera().astype(np.uint16) * 257
    found = luma(through_pillow(deep, kind))
    assert found.dtype == np.uint16
    assert np.array_equal(found, deep)


def test_greyscale_is_taken_as_it_is() -> None:
    assert np.array_equal(luma(through_pillow(grey(), "PNG")), grey())
    assert np.abs(luma(jpeg(grey(), quality=98)) - grey().astype(int)).mean() < 1


def test_transparency_is_left_out() -> None:
    clear = np.dstack([portrait(), np.zeros((512, 512), np.uint8)])
    assert np.abs(luma(through_pillow(clear, "PNG")) - pillow_luma()).mean() < 1


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
@pytest.mark.parametrize("share", [0.05, 0.5, 0.95])
def test_a_file_cut_short_is_unreadable_not_soft(kind: str, share: float) -> None:
    whole = through_pillow(portrait(), kind)
    with pytest.raises(Unreadable):
        luma(whole[: int(len(whole) * share)])


def test_a_jpeg_without_only_its_end_mark_is_cut_short() -> None:
    with pytest.raises(Unreadable, match="cut short"):
        luma(jpeg(grey())[:-2])


def test_bytes_after_the_end_are_no_harm() -> None:
    assert luma(jpeg(grey()) + b"\0" * 5000).shape == (512, 512)


def test_stray_bytes_before_the_end_mark_are_no_harm() -> None:
    whole = jpeg(grey())
    assert luma(whole[:-2] + b"\0" * 12 + whole[-2:]).shape == (512, 512)


@pytest.mark.parametrize("content", [b"not a picture", b"%PDF-1.4 " * 100, b"\0" * 4096, b"\xff"])
def test_what_is_no_picture_says_so(content: bytes) -> None:
    with pytest.raises(Unreadable, match="not a JPEG, PNG or TIFF"):
        luma(content)


def test_a_header_of_60000_by_60000_is_refused_before_anything_is_reserved() -> None:
    whole = bytearray(jpeg(grey()))
    frame = whole.index(b"\xff\xc0") + 5
    whole[frame : frame + 4] = struct.pack(">HH", 60000, 60000)
    with pytest.raises(Unreadable, match="60000 x 60000"):
        luma(bytes(whole))


def test_one_pixel_is_too_small() -> None:
    with pytest.raises(Unreadable, match="1 x 1 px is too small"):
        luma(jpeg(grey()[:1, :1]))


def test_floating_point_samples_are_named() -> None:
    with pytest.raises(Unreadable, match="float"):
        luma(through_pillow((data.camera() / 255).astype(np.float32), "TIFF"))
