"""A sidecar beside the picture is read, never written, and only where it is the picture's own."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.frame.xmp import FOCUS_REGION, document, embedded, region, regions
from tests.pictures import grey, jpeg
from tether.frame import metadata, sidecar
from tether.frame.tags import Tags

SIZE = (4000, 3000)
FACE = regions(region("Face", "x=0.5 y=0.5 w=0.1 h=0.1"))


@pytest.fixture
def picture(folder: Path) -> Path:
    path = folder / "bowl 0001.jpg"
    path.write_bytes(jpeg(grey()))
    return path


def read(picture: Path) -> Tags:
    return metadata.read(picture.read_bytes(), picture, *SIZE)


@pytest.mark.parametrize("name", ["bowl 0001.xmp", "bowl 0001.jpg.xmp", "bowl 0001.XMP"])
def test_it_has_the_pictures_name(picture: Path, name: str) -> None:
    beside = picture.with_name(name)
    beside.write_bytes(FOCUS_REGION)
    before = beside.stat()
    found = read(picture)
    assert found.regions is not None
    assert found.regions.sidecar == name
    assert found.problems == ()
    assert (beside.read_bytes(), beside.stat().st_mtime_ns) == (FOCUS_REGION, before.st_mtime_ns)


def test_the_one_with_the_whole_name_comes_first(picture: Path) -> None:
    picture.with_name("bowl 0001.xmp").write_bytes(FACE)
    picture.with_name("bowl 0001.jpg.xmp").write_bytes(FOCUS_REGION)
    found = read(picture).regions
    assert found is not None
    assert found.every[0].kind == "Focus"


def test_it_comes_before_what_the_file_says(picture: Path) -> None:
    picture.write_bytes(embedded(jpeg(grey()), FACE))
    assert read(picture).regions is not None
    picture.with_suffix(".xmp").write_bytes(FOCUS_REGION)
    found = read(picture).regions
    assert found is not None
    assert found.every[0].kind == "Focus"
    # One that says nothing of regions takes nothing away.
    picture.with_suffix(".xmp").write_bytes(document("<dc:source>studio</dc:source>"))
    kept = read(picture)
    assert kept.regions is not None
    assert (kept.regions.every[0].kind, kept.problems) == ("Face", ())


@pytest.mark.parametrize(
    ("xmp", "why"),
    [
        (regions(region("Face", "x=0.5 y=0.5"), size=(3000, 3000)), "it is of 3000 x 3000 px"),
        (document(more='tiff:ImageWidth="6000" tiff:ImageLength="4000"'), "it is of 6000 x 4000"),
        (document(more='crs:RawFileName="bowl 0002.NEF"'), "it is of bowl 0002.NEF"),
        (document(more='crs:RawFileName="C:\\shoots\\bowl 0002.NEF"'), "it is of bowl 0002.NEF"),
    ],
)
def test_another_pictures_is_left_aside_and_said(picture: Path, xmp: bytes, why: str) -> None:
    picture.with_suffix(".xmp").write_bytes(xmp)
    found = read(picture)
    assert found.regions is None
    assert found.problems == (f"bowl 0001.xmp is left aside: {why}",) or why in found.problems[0]


@pytest.mark.parametrize("size", [(6000, 4500), (3000, 4000), (4032, 3024)])
def test_the_same_exposure_in_another_size_or_turned_is_its_own(
    picture: Path, size: tuple[int, int]
) -> None:
    picture.with_suffix(".xmp").write_bytes(
        document(
            more=f'tiff:ImageWidth="{size[0]}" tiff:ImageLength="{size[1]}" '
            'crs:RawFileName="BOWL 0001.nef"'
        )
    )
    assert read(picture).problems == ()


def bomb(levels: int) -> bytes:
    """Entities of ten of the one before: ten to the power of `levels` of the first."""
    entities = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, levels + 1))
    before = f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e0 "bowl">{entities}]>'
    return document(f"<dc:source>&e{levels};</dc:source>", before=before)


OUTSIDE = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/hostname">]>'


@pytest.mark.parametrize(
    "xmp",
    [
        b"not XML at all",
        b"\0" * 5000,
        FOCUS_REGION[:-40],
        FOCUS_REGION.replace(b"</rdf:li>", b""),
        b"<a>" * 100_000,
        bomb(9),
        document("<dc:source>&e;</dc:source>", before=OUTSIDE),
        jpeg(grey()),
    ],
    ids=["text", "zeros", "cut short", "unbalanced", "deep", "bomb", "outside", "picture"],
)
def test_what_is_no_xmp_or_would_grow_is_left_aside(picture: Path, xmp: bytes) -> None:
    picture.with_suffix(".xmp").write_bytes(xmp)
    found = read(picture)
    assert found.regions is None
    assert found.problems == (
        "bowl 0001.xmp is left aside: there is no XMP in it that can be read",
    )


@pytest.mark.parametrize("xmp", [bomb(9), document(before=OUTSIDE), b"<a>" * 20_000])
def test_the_same_inside_the_picture_costs_its_regions_alone(picture: Path, xmp: bytes) -> None:
    whole = jpeg(grey(), {"Exif.Photo.FNumber": "28/10"})
    picture.write_bytes(embedded(whole, xmp))
    found = read(picture)
    assert (found.regions, found.exposure.f_number) == (None, 2.8)


def test_many_regions_and_long_values_are_bounded(picture: Path) -> None:
    many = regions(*(region("Face", "x=0.5 y=0.5 w=0.1 h=0.1") for _ in range(3000)))
    picture.with_suffix(".xmp").write_bytes(many)
    found = read(picture).regions
    assert found is not None
    assert len(found.every) == 500
    picture.with_suffix(".xmp").write_bytes(regions(region("F" * 2_000_000, "x=0.5 y=0.5")))
    assert read(picture).exposure is not None


def test_a_large_one_is_not_read(picture: Path) -> None:
    picture.with_suffix(".xmp").write_bytes(b" " * (sidecar.LARGEST_BYTES + 1))
    assert read(picture).problems == ("bowl 0001.xmp is left aside: 4 MB is too large",)


def test_no_link_leads_to_it_from_elsewhere(picture: Path, tmp_path: Path) -> None:
    other = tmp_path / "elsewhere.xmp"
    other.write_bytes(FOCUS_REGION)
    picture.with_suffix(".xmp").symlink_to(other)
    found = read(picture)
    assert found.regions is None
    assert "a link that leads out of the folder" in found.problems[0]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes by name here")
def test_a_pipe_by_its_name_holds_nobody_up(picture: Path) -> None:
    os.mkfifo(picture.with_suffix(".xmp"))
    assert "not a plain file" in read(picture).problems[0]


def test_a_name_that_is_no_text_does(folder: Path) -> None:
    picture = folder / os.fsdecode(b"b\xfcste.jpg")
    picture.write_bytes(jpeg(grey()))
    picture.with_suffix(".xmp").write_bytes(FOCUS_REGION)
    assert read(picture).regions is not None
