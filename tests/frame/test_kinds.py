"""Names tell pictures from everything else."""

from pathlib import PurePath

import pytest

from tether.frame.kinds import is_passed_over, is_picture, is_picture_path, is_raw


@pytest.mark.parametrize(
    "name", ["a.jpg", "A.JPG", "b.JpEg", "c.tif", "c.TIFF", "d.png", "e.f.jpg"]
)
def test_jpeg_tiff_and_png_are_pictures_in_any_case(name: str) -> None:
    assert is_picture(name)
    assert not is_raw(PurePath(name))


@pytest.mark.parametrize("name", ["a.CR3", "a.nef", "a.ARW", "a.raf", "a.dng"])
def test_raws_are_pictures_that_may_have_another_beside_them(name: str) -> None:
    assert is_raw(PurePath(name))
    assert is_picture(name)


@pytest.mark.parametrize("name", ["a.HIF", "a.heic", "a.heif", "a.avif", "a.heics"])
def test_heif_is_a_picture_of_its_own(name: str) -> None:
    assert not is_raw(PurePath(name))
    assert is_picture(name)


@pytest.mark.parametrize(
    "name",
    [
        ".a.jpg",
        "._a.jpg",
        ".jpg",
        "a.jpg.part",
        "a.tmp",
        "a.xmp",
        "a",
        "jpg",
        "",
        "tether-record.sqlite",
        "tether-record.sqlite-wal",
    ],
)
def test_hidden_unfinished_and_foreign_names_are_passed_over(name: str) -> None:
    assert not is_picture(name)


def test_what_lies_in_a_hidden_folder_or_a_bin_is_passed_over() -> None:
    assert is_picture_path("day 1/a.jpg")
    assert not is_picture_path(".thumbnails/a.jpg")
    assert not is_picture_path("day 1/@eaDir/a.jpg")
    assert is_passed_over("$RECYCLE.BIN")


@pytest.mark.parametrize("name", ["bowl-evidence.png", "bowl-evidence-2.png"])
def test_a_picture_of_the_evidence_is_no_frame(name: str) -> None:
    assert not is_picture(name)
    assert is_picture(name.replace("png", "jpg"))
