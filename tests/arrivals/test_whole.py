"""The end mark tells whether a file is whole, and nothing is waited for."""

import os
from pathlib import Path

import pytest

from tests.arrivals.pictures import jpeg, png, tiff
from tether.arrivals.whole import TAIL, EndMark, end_mark, look_at


def mark_of(path: Path, content: bytes) -> EndMark:
    path.write_bytes(content)
    return end_mark(str(path))


def test_a_whole_jpeg_ends_with_its_mark(tmp_path: Path) -> None:
    assert mark_of(tmp_path / "a.JPG", jpeg(300_000)) is EndMark.AT_END


def test_bytes_after_the_end_are_accepted(tmp_path: Path) -> None:
    assert mark_of(tmp_path / "a.jpg", jpeg() + bytes(30_000)) is EndMark.NEAR_END


def test_padding_longer_than_the_tail_hides_the_mark(tmp_path: Path) -> None:
    assert mark_of(tmp_path / "a.jpg", jpeg() + bytes(TAIL)) is EndMark.MISSING


@pytest.mark.parametrize("kept", [1, 3, 20, 40, 60, 200, 20_000, 39_998, 39_999])
def test_a_jpeg_cut_anywhere_is_not_whole_though_its_thumbnail_is(
    tmp_path: Path, kept: int
) -> None:
    assert mark_of(tmp_path / "a.jpg", jpeg(40_000)[:kept]) is EndMark.MISSING


@pytest.mark.parametrize(
    "content", [b"", b"not a picture", bytes(5000), b"\xff\xd8" + b"\xff" * 9000]
)
def test_what_is_no_picture_has_no_end_mark(tmp_path: Path, content: bytes) -> None:
    assert mark_of(tmp_path / "a.jpg", content) is EndMark.MISSING


def test_a_png_ends_with_its_last_chunk(tmp_path: Path) -> None:
    assert mark_of(tmp_path / "a.png", png()) is EndMark.AT_END
    assert mark_of(tmp_path / "b.png", png() + b"more") is EndMark.NEAR_END
    assert mark_of(tmp_path / "c.png", png()[:-1]) is EndMark.MISSING


def test_the_content_tells_a_png_named_as_a_jpeg(tmp_path: Path) -> None:
    assert mark_of(tmp_path / "a.jpg", png()) is EndMark.AT_END


def test_tiff_and_raw_have_no_end_mark_that_is_known(tmp_path: Path) -> None:
    assert mark_of(tmp_path / "a.tif", tiff()) is EndMark.UNKNOWN
    assert mark_of(tmp_path / "a.nef", tiff()) is EndMark.UNKNOWN
    assert mark_of(tmp_path / "empty.tif", b"") is EndMark.MISSING


def test_a_look_sees_size_and_time_of_regular_files_only(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(b"12345")
    look = look_at(str(path))
    assert look is not None
    assert (look.size, look.mtime_ns, look.inode) == (
        5,
        path.stat().st_mtime_ns,
        path.stat().st_ino,
    )
    assert look_at(str(tmp_path)) is None
    assert look_at(str(tmp_path / "none.jpg")) is None


def test_a_look_through_a_link_knows_that_it_is_one(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(jpeg())
    (tmp_path / "link.jpg").symlink_to("a.jpg")
    (tmp_path / "broken.jpg").symlink_to("nowhere.jpg")
    look = look_at(str(tmp_path / "link.jpg"))
    assert look is not None
    assert look.inode == 0
    assert look_at(str(tmp_path / "broken.jpg")) is None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_pipes_and_devices_are_never_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    (tmp_path / "zero.jpg").symlink_to("/dev/zero")
    for name in ("pipe.jpg", "zero.jpg"):
        assert look_at(str(tmp_path / name)) is None
        assert end_mark(str(tmp_path / name)) is EndMark.MISSING
