"""Damage inside a picture's coded data makes it unreadable, and what is only unusual does not."""

from __future__ import annotations

import io
import random
import struct
import zlib
from collections.abc import Callable

import numpy as np
import pytest
import pyvips
import tifffile
from numpy.typing import NDArray
from PIL import Image, TiffImagePlugin

from tests.pictures import grey, jpeg, portrait, through_pillow
from tether.frame.file import Unreadable
from tether.frame.pixels import luma

PICTURE = portrait()
LUMA = np.asarray(Image.fromarray(PICTURE).convert("L")).astype(int)


def vips(**how: object) -> bytes:
    return bytes(pyvips.Image.new_from_array(PICTURE).tiffsave_buffer(**how))


def pillow(**how: object) -> bytes:
    return through_pillow(PICTURE, "TIFF", **how)


def tiff(pixels: NDArray[np.generic] = PICTURE, **how: object) -> bytes:
    out = io.BytesIO()
    tifffile.imwrite(out, pixels, **how)
    return out.getvalue()


CODED: dict[str, Callable[[], bytes]] = {
    "libvips, lzw": lambda: vips(compression="lzw"),
    "libvips, lzw, tiles": lambda: vips(compression="lzw", tile=True, predictor="horizontal"),
    "libvips, deflate": lambda: vips(compression="deflate", predictor="horizontal"),
    "libvips, deflate, tiles": lambda: vips(compression="deflate", tile=True),
    "libvips, jpeg": lambda: vips(compression="jpeg", Q=90),
    "libvips, jpeg, tiles": lambda: vips(compression="jpeg", Q=90, tile=True),
    "libvips, packbits": lambda: vips(compression="packbits"),
    "libvips, packbits, tiles": lambda: vips(compression="packbits", tile=True),
    "Pillow, lzw": lambda: pillow(compression="tiff_lzw"),
    "Pillow, deflate": lambda: pillow(compression="tiff_adobe_deflate"),
    "Pillow, jpeg": lambda: pillow(compression="jpeg"),
    "Pillow, packbits": lambda: pillow(compression="packbits"),
    "tifffile, deflate": lambda: tiff(compression="zlib"),
}


def places(whole: bytes) -> list[tuple[int, int]]:
    """Where the first picture's strips or tiles lie, as another library says: start and length."""
    with tifffile.TiffFile(io.BytesIO(whole)) as opened:
        page = opened.pages.first
        return list(zip(page.dataoffsets, page.databytecounts, strict=True))


def flipped(whole: bytes, start: int, length: int, seed: int) -> bytes:
    """Another bit somewhere in this part."""
    rng, changed = random.Random(seed), bytearray(whole)
    changed[start + rng.randrange(length)] ^= 1 << rng.randrange(8)
    return bytes(changed)


def refused(whole: bytes) -> bool:
    try:
        luma(whole)
    except Unreadable:
        return True
    return False


@pytest.mark.parametrize("name", CODED)
def test_zeros_in_place_of_a_coded_part_are_damage(name: str) -> None:
    whole = CODED[name]()
    assert np.abs(luma(whole) - LUMA).mean() < 3
    for start, length in places(whole)[::3]:
        for begin, count in ((0, length), (length // 3, min(4096, length // 3))):
            changed = bytearray(whole)
            changed[start + begin : start + begin + count] = bytes(count)
            assert refused(bytes(changed)), (start, begin, count)


@pytest.mark.parametrize("name", [name for name in CODED if "deflate" in name])
def test_a_single_bit_is_found_where_there_is_a_checksum(name: str) -> None:
    whole = CODED[name]()
    where = places(whole)
    # Wherever it lies, the last bytes included, which libtiff does not read.
    passed = [
        seed for seed in range(40) if not refused(flipped(whole, *where[seed % len(where)], seed))
    ]
    start, length = where[-1]
    passed += [at for at in (1, 2, 3, 4) if not refused(flipped(whole, start + length - at, 1, at))]
    assert passed == []


@pytest.mark.parametrize("name", [name for name in CODED if "jpeg" in name])
def test_a_tiff_of_jpegs_is_held_to_what_a_jpeg_is_held_to(name: str) -> None:
    whole = CODED[name]()
    start, length = places(whole)[0]
    at = whole.index(b"\xff\xda", start) + 20
    found = [refused(flipped(whole, at, start + length - 2 - at, seed)) for seed in range(60)]
    # Others give a JPEG as sound as this one; libtiff by itself finds one in thirty.
    assert sum(found) >= 8


@pytest.mark.parametrize(
    "how",
    [{}, {"progressive": True}, {"restart_marker_rows": 1}],
    ids=["plain", "progressive", "restarts"],
)
def test_a_jpeg_with_bytes_left_over_is_damaged_unless_they_are_padding(
    how: dict[str, object],
) -> None:
    whole = through_pillow(grey(), "JPEG", quality=95, **how)
    for padding in (b"\0", b"\xff", b"\x55"):
        assert luma(whole[:-2] + 40 * padding + whole[-2:]).shape == (512, 512)
        assert luma(whole[:-2] + 40 * padding + whole[-2:] + jpeg(grey())).shape == (512, 512)
    rng = random.Random(1)
    with pytest.raises(Unreadable, match="damaged"):
        luma(whole[:-2] + bytes(rng.randrange(255) for _ in range(40)) + whole[-2:])
    begin = whole.index(b"\xff\xda") + 14
    found = [refused(flipped(whole, begin, len(whole) - 2 - begin, seed)) for seed in range(100)]
    assert sum(found) >= 20


def chunks(whole: bytes) -> dict[bytes, tuple[int, int]]:
    """Start and length of the content of the last chunk of each name (PNG, second edition, 5.3)."""
    at, found = 8, {}
    while at < len(whole):
        (length,) = struct.unpack(">I", whole[at : at + 4])
        found[whole[at + 4 : at + 8]] = (at + 8, length)
        at += 12 + length
    return found


def test_a_single_bit_of_a_pngs_pixels_is_found_and_one_of_its_words_is_no_matter() -> None:
    whole = through_pillow(PICTURE, "PNG")
    start, length = chunks(whole)[b"IDAT"]
    assert all(refused(flipped(whole, start, length, seed)) for seed in range(20))
    words = b"Comment\0a bowl"
    told = struct.pack(">I", len(words)) + b"tEXt" + words + struct.pack(">I", zlib.crc32(words))
    after = sum(chunks(whole)[b"IHDR"]) + 4
    with_words = whole[:after] + told + whole[after:]  # its checksum leaves out the name
    assert np.array_equal(luma(with_words), luma(whole))


def own_tags() -> TiffImagePlugin.ImageFileDirectory_v2:
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[65000], tags[65001], tags[306] = "of the studio's own", 7, "yesterday"
    return tags


def unsorted(whole: bytes) -> bytes:
    """The same with two entries of its directory changed over, as some programs leave them."""
    changed = bytearray(whole)
    (at,) = struct.unpack("<I", whole[4:8])
    (count,) = struct.unpack("<H", whole[at : at + 2])
    last = at + 2 + 12 * (count - 1)
    changed[last - 12 : last], changed[last : last + 12] = (
        whole[last : last + 12],
        whole[last - 12 : last],
    )
    return bytes(changed)


SOUND: dict[str, Callable[[], bytes]] = {
    "big-endian": lambda: tiff(byteorder=">", compression="zlib"),
    "BigTIFF": lambda: tiff(bigtiff=True),
    "BigTIFF by libvips": lambda: vips(compression="lzw", bigtiff=True),
    "a strip a row": lambda: tiff(rowsperstrip=1, compression="zlib"),
    "strips of 100 rows": lambda: tiff(rowsperstrip=100, compression="zlib", predictor=True),
    "small tiles": lambda: tiff(tile=(48, 80), compression="zlib"),
    "a plane a colour": lambda: tiff(
        np.ascontiguousarray(PICTURE.transpose(2, 0, 1)),
        photometric="rgb",
        planarconfig="separate",
        compression="zlib",
    ),
    "transparency": lambda: tiff(
        np.dstack([PICTURE, PICTURE[..., 0]]), photometric="rgb", extrasamples=["unassalpha"]
    ),
    "several pages": lambda: tiff(np.stack([PICTURE] * 3), photometric="rgb"),
    "16 bits": lambda: tiff(PICTURE.astype(np.uint16) * 257, compression="zlib", predictor=True),
    "tags of one's own": lambda: tiff(
        compression="zlib",
        extratags=[(65000, "s", 0, "studio", True), (50000, "B", 4, b"bowl", True)],
    ),
    "tags of one's own by Pillow": lambda: pillow(compression="tiff_lzw", tiffinfo=own_tags()),
    "tags out of order": lambda: unsorted(pillow(compression="tiff_lzw", tiffinfo=own_tags())),
    "tags out of order, JPEG": lambda: unsorted(pillow(compression="jpeg", tiffinfo=own_tags())),
    "tags out of order, tiles": lambda: unsorted(vips(compression="lzw", tile=True)),
    "a pyramid": lambda: vips(compression="jpeg", Q=95, tile=True, pyramid=True),
    "JPEG as RGB": lambda: vips(compression="jpeg", Q=95, rgbjpeg=True),
    "WebP": lambda: vips(compression="webp", lossless=True),
}


@pytest.mark.parametrize("name", SOUND)
def test_a_tiff_that_is_only_unusual_is_read(name: str) -> None:
    # Source: the pixels that another library was given to write.
    found = luma(SOUND[name]()).astype(int)
    assert found.shape == LUMA.shape
    assert np.abs(found // (257 if name == "16 bits" else 1) - LUMA).mean() < 3


def test_a_tiff_compressed_in_a_way_that_is_not_read_says_so() -> None:
    with pytest.raises(Unreadable, match="compressed in a way that is not read"):
        luma(tiff(compression="lzma"))
