"""Whatever stands in a note, the answer is a point inside, or words; never an error."""

from __future__ import annotations

import struct
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.frame.notes import RATIONAL, SHORT, UNDEFINED, Tag, directory, picture
from tests.samples import reading
from tether.frame.focus_points.focus import CameraFocus
from tether.frame.focus_points.note_ifd import NoteIfd
from tether.frame.focus_points.placing import placed

MAKES = ["Canon", "NIKON CORPORATION", "SONY", "FUJIFILM", "Panasonic", "LEICA", "PENTAX", "RICOH"]
MAKES += ["OLYMPUS CORPORATION", "OM Digital Solutions", "CASIO COMPUTER CO.,LTD."]


@given(st.binary(max_size=400), st.integers(0, 40), st.booleans())
def test_any_bytes_are_a_directory_or_none(block: bytes, start: int, big: bool) -> None:
    entries = NoteIfd(block, start, big_endian=big)
    for tag in entries.entries:
        entries.words(tag)
        entries.block(tag)
        entries.longs(tag, entries.end)


@pytest.mark.parametrize("make", MAKES)
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_any_note_is_read_without_an_error(make: str, data: st.DataObject) -> None:
    starts = [
        b"",
        b"Nikon\0\2\x11\0\0II*\0\x08\0\0\0",
        b"LEICA\0\0\0",
        b"Ricoh\0\0\0",
        b"RICOH\0II",
    ]
    starts += [b"FUJIFILM\x0c\0\0\0", b"Panasonic\0\0\0", b"PENTAX \0MM", b"SONY DSC \0\0\0"]
    note = data.draw(st.sampled_from(starts)) + data.draw(st.binary(max_size=200))
    told = reading.read(picture(make, "EOS", lambda at: note)).focus
    assert told is None or _good(told)


@settings(max_examples=80, deadline=None)
@given(st.lists(st.integers(0, 0xFFFF), min_size=1, max_size=60))
def test_any_canon_block_is_a_place_inside_or_words(words: list[int]) -> None:
    words[0] = 2 * len(words)
    note = directory([Tag(0x0026, SHORT, words)], 0)
    told = reading.read(picture("Canon", "Canon EOS R", lambda at: note)).focus
    assert told is None or _good(told)


@settings(max_examples=40, deadline=None)
@given(st.binary(min_size=10, max_size=120))
def test_any_nikon_block_is_a_place_inside_or_words(block: bytes) -> None:
    for version in (b"0300", b"0401"):
        body = directory([Tag(0x00B7, UNDEFINED, version + block)], 8)
        told = reading.read(picture("NIKON CORPORATION", "NIKON Z 6", partial(_nikon, body)))
        assert told.focus is None or _good(told.focus)


def _nikon(body: bytes, at: int) -> bytes:
    return b"Nikon\0\2\x11\0\0II*\0\x08\0\0\0" + body


@pytest.mark.parametrize(
    "fraction",
    [
        (0, 0, 0, 0),  # nothing over nothing
        (0xFFFFFFFF, 256, 0xFFFFFFFF, 256),  # no point, ExifTool's Panasonic::Main 0x004d
        (300, 256, 10, 256),
    ],
)
def test_panasonic_values_that_are_no_fractions_are_no_point(fraction: tuple[int, ...]) -> None:
    def note(at: int) -> bytes:
        return b"Panasonic\0\0\0" + directory([Tag(0x4D, RATIONAL, fraction)], at + 12)

    told = reading.read(picture("Panasonic", "DC-S5", note)).focus
    assert told is not None
    assert told.points == ()


def test_a_canon_block_of_a_note_that_was_moved_is_not_believed() -> None:
    # Its first word counts the bytes; other software that moves a note leaves it pointing at
    # whatever lies there now.
    words = [77, 2, 1, 1, 6000, 4000, 6000, 4000, 100, 100, 0, 0, 1, 1]
    note = directory([Tag(0x0026, SHORT, words)], 0)
    told = reading.read(picture("Canon", "Canon EOS R", lambda at: note)).focus
    assert told is not None
    assert told.points == ()


def _good(told: CameraFocus) -> bool:
    rects = placed(told, (6000, 4000), None, 320) if told.points else ()
    assert told.said
    return isinstance(rects, str) or all(
        -6000 <= one.x < 6000 and -4000 <= one.y < 4000 and one.width > 0 for one in rects
    )


def test_the_notes_made_here_are_whole() -> None:
    # Two entries of six bytes each, little end first, by TIFF 6.0.
    made = directory([Tag(1, SHORT, [7]), Tag(2, SHORT, [1, 2, 3])], 0)
    assert struct.unpack_from("<HHHL", made) == (2, 1, SHORT, 1)
    assert made[-6:] == struct.pack("<3H", 1, 2, 3)
