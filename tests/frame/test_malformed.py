"""Exif made by hand to be wrong costs what is wrong, and never the frame.

Layout: TIFF 6.0 section 2 and CIPA DC-008; types 2 text, 3 short, 4 long, 5 fraction, 7 bytes.
"""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from tests.pictures import grey, jpeg
from tether.frame import metadata
from tether.frame.tags import Tags

TEXT, SHORT, LONG, FRACTION, BYTES = 2, 3, 4, 5, 7
MAKE, MODEL, ORIENTATION, EXIF = 0x010F, 0x0110, 0x0112, 0x8769
SHUTTER, F_NUMBER, MAKER_NOTE, SUBJECT = 0x829A, 0x829D, 0x927C, 0x9214
# The first directory of these ends where the second begins, and values begin at 200.
SECOND, VALUES, LENGTH = 100, 200, 2000

Entry = tuple[int, int, int, int]
GOOD: list[Entry] = [(MODEL, TEXT, 4, struct.unpack(">I", b"One\0")[0])]


def directory(entries: list[Entry], following: int = 0) -> bytes:
    packed = b"".join(struct.pack(">HHII", *one) for one in entries)
    return struct.pack(">H", len(entries)) + packed + struct.pack(">I", following)


def exif(first: list[Entry], second: list[Entry], values: bytes = b"", following: int = 0) -> bytes:
    whole = bytearray(LENGTH)
    whole[:8] = b"MM\0*\0\0\0\x08"
    for at, part in (
        (8, directory([*first, (EXIF, LONG, 1, SECOND)], following)),
        (SECOND, directory(second)),
        (VALUES, values),
    ):
        whole[at : at + len(part)] = part
    return bytes(whole)


def read(path: Path, exif: bytes) -> Tags:
    body = b"Exif\0\0" + exif
    whole = jpeg(grey())
    segment = b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body
    path.write_bytes(whole[:2] + segment + whole[2:])
    return metadata.read(path.read_bytes(), path, 512, 512)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "bowl.jpg"


def test_this_layout_is_read_when_nothing_is_wrong(path: Path) -> None:
    values = struct.pack(">IIII", 1, 125, 28, 10)
    second = [(SHUTTER, FRACTION, 1, VALUES), (F_NUMBER, FRACTION, 1, VALUES + 8)]
    found = read(path, exif(GOOD, second, values))
    assert found.exposure.body == "One"
    assert (found.exposure.shutter_s, found.exposure.f_number) == (0.008, 2.8)
    assert found.problems == ()


@pytest.mark.parametrize(
    "second",
    [
        [(SHUTTER, FRACTION, 0xFFFFFFFF, VALUES)],
        [(SHUTTER, FRACTION, 0x1FFFFFFF, VALUES)],
        [(SHUTTER, FRACTION, 1, 0xFFFFFFF0)],
        [(SHUTTER, FRACTION, 1, LENGTH - 4)],
        [(SHUTTER, TEXT, 4, 0x41424344)],
        [(SHUTTER, SHORT, 1, 0)],
        [(SHUTTER, 99, 1, VALUES)],
        [(SHUTTER, FRACTION, 0, VALUES)],
        [(SUBJECT, TEXT, 4, 0x41424344)],
        [(SUBJECT, SHORT, 0x7FFFFFFF, VALUES)],
        [(F_NUMBER, FRACTION, 1, VALUES)] * 7,
        [(EXIF, LONG, 1, SECOND)],
        [(EXIF, LONG, 1, 8)],
    ],
)
def test_one_wrong_tag_costs_itself(path: Path, second: list[Entry]) -> None:
    found = read(path, exif(GOOD, second))
    assert found.exposure.body == "One"
    assert found.exposure.shutter_s is None
    assert found.subject is None


@pytest.mark.parametrize("following", [8, SECOND, 0xFFFFFFFF, LENGTH - 1])
def test_directories_that_lead_round_or_out_end(path: Path, following: int) -> None:
    found = read(path, exif(GOOD, [], following=following))
    assert found.exposure.body == "One"
    assert not any("took longer" in why for why in found.problems)


@pytest.mark.parametrize("count", [0xFFFF, 4000])
def test_more_entries_than_there_is_file_end(path: Path, count: int) -> None:
    whole = bytearray(exif(GOOD, []))
    whole[8:10] = struct.pack(">H", count)
    assert read(path, bytes(whole)).orientation == 1


MAKES = {
    b"Canon\0": b"",
    b"NIKON\0": b"Nikon\0\x02\x10\0\0MM\0*\0\0\0\x08",
    b"SONY\0\0": b"SONY DSC \0\0\0",
    b"OLYMP\0": b"OLYMPUS\0MM\x03\0",
    b"FUJI\0\0": b"FUJIFILM\x0c\0\0\0",
    b"PENT\0\0": b"AOC\0MM",
    b"Panas\0": b"Panasonic\0\0\0",
}


@pytest.mark.parametrize("make", MAKES)
@pytest.mark.parametrize("wrong", ["cut short", "ones", "counts", "round", "length"])
def test_a_makers_note_gone_wrong_costs_what_it_says(path: Path, make: bytes, wrong: str) -> None:
    begin = MAKES[make]
    values = make.ljust(8, b"\0") + struct.pack(">II", 1, 125)
    note = {
        "cut short": begin[:-1] if begin else b"\0",
        "ones": begin + b"\xff" * 600,
        "counts": begin + directory([(n, SHORT, 0xFFFFFFFF, VALUES) for n in range(1, 40)]),
        "round": begin + directory([(0x11, LONG, 1, 0)] * 20, 8),
        "length": begin,
    }[wrong]
    length = 0xFFFFFFF0 if wrong == "length" else len(note)
    first: list[Entry] = [(MAKE, TEXT, len(make), VALUES), (MODEL, TEXT, 4, GOOD[0][3])]
    second = [(SHUTTER, FRACTION, 1, VALUES + 8), (MAKER_NOTE, BYTES, length, VALUES + 16)]
    found = read(path, exif(first, second, values + note))
    assert found.exposure.body == "One"
    assert found.exposure.shutter_s == 0.008
    assert found.problems == ()


def test_no_jpeg_metadata_at_all_is_no_problem(path: Path) -> None:
    path.write_bytes(jpeg(grey()))
    assert metadata.read(path.read_bytes(), path, 512, 512) == Tags()


def test_a_file_that_no_reader_knows_says_so(path: Path) -> None:
    found = metadata.read(b"\x89PNG\r\n\x1a\n" + bytes(200), path, 512, 512)
    assert found == Tags(problems=("its metadata is damaged: judged without it",))
