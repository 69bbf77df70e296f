"""Kinds of focus point of which no real sample is at hand: the layouts that ExifTool documents."""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.frame.notes import LONG, RATIONAL, SHORT, UNDEFINED, Tag, directory, picture
from tests.samples import exiftool, reading
from tests.samples.agreement import Agreement, compare
from tether.frame.focus_points.focus import CameraFocus, Point


def read(data: bytes) -> CameraFocus:
    told = reading.read(data).focus
    assert told is not None
    return told


def nikon(block: bytes) -> Callable[[int], bytes]:
    # The third kind of Nikon note: a TIFF header of its own behind ten bytes.
    body = directory([Tag(0x0001, UNDEFINED, b"0211"), Tag(0x00B7, UNDEFINED, block)], 8)
    return lambda at: b"Nikon\0\2\x11\0\0II*\0\x08\0\0\0" + body


def nikon_0400(has_place: int = 1, result: int = 1, x: int = 1200) -> bytes:
    block = bytearray(b"0401" + bytes(0x50))
    block[5], block[7], block[0x4A] = 193, has_place, result
    struct.pack_into("<6H", block, 0x3E, 8256, 5504, x, 4000, 300, 200)
    return picture("NIKON CORPORATION", "NIKON Z 9", nikon(bytes(block)), (8256, 5504))


def leica() -> bytes:
    def note(at: int) -> bytes:
        fraction = Tag(0x4D, RATIONAL, [64, 256, 90, 256])
        before = Tag(0x25, UNDEFINED, b"serial number of some")
        return b"LEICA\0\0\0" + directory([before, fraction], at + 8)

    return picture("LEICA", "D-LUX 5", note)


def ricoh() -> bytes:
    # As wide as a GR's; the model decides nothing. 0x1200: 1 is in focus.
    words = [Tag(0x1200, SHORT, [1]), Tag(0x1203, SHORT, [1000]), Tag(0x1204, SHORT, [900])]
    note = b"Ricoh\0\0\0" + directory(words, 8, ">")
    return picture("RICOH IMAGING COMPANY, LTD.", "GR", lambda at: note)


def om_system(block: list[int]) -> bytes:
    settings = [Tag(0x0301, SHORT, [2, 64]), Tag(0x030A, SHORT, block)]
    head = b"OM SYSTEM\0\0\0II\4\0"
    outer = directory([Tag(0x2020, LONG, [0])], len(head))
    inner_at = len(head) + len(outer)
    outer = directory([Tag(0x2020, LONG, [inner_at])], len(head))
    note = head + outer + directory(settings, inner_at)
    return picture("OM Digital Solutions", "OM-1", lambda at: note, (5184, 3888))


def pentax(words: list[int], head: bytes) -> bytes:
    # Whatever order the head names, the numbers are in the file's.
    block = struct.pack(f"<{len(words)}H", *words)
    tags_of = [Tag(0x000D, SHORT, [16]), Tag(0x040C, UNDEFINED, block)]
    note = head + directory(tags_of, len(head))
    return picture("RICOH IMAGING COMPANY, LTD.", "PENTAX K-3 Mark III", lambda at: note)


def panasonic(size: list[int]) -> bytes:
    def note(at: int) -> bytes:
        place = Tag(0x4D, RATIONAL, [64, 256, 90, 256])
        return b"Panasonic\0\0\0" + directory([place, Tag(0xDE, RATIONAL, size)], at + 12)

    return picture("Panasonic", "DC-S5", note)


def test_nikon_0400_is_a_centre_and_a_size_from_the_top_left() -> None:
    # Source: ExifTool, Nikon::AFInfo2V0400, from 0x3e on; byte 0x4a is the focus result.
    found = read(nikon_0400())
    assert found.points == (Point(1200, 4000, 300, 200),)
    assert (found.frame, found.in_focus) == ((8256, 5504), True)
    assert read(nikon_0400(result=0)).in_focus is False


def test_nikon_0400_without_a_place_names_none() -> None:
    # Source: ExifTool, Nikon::AFInfo2V0400: 0 is no place.
    assert read(nikon_0400(has_place=0)).points == ()
    assert read(nikon_0400(x=0)).points == ()


def test_leica_notes_are_taken_apart() -> None:
    # Source: ExifTool, Panasonic::Main 0x004d, in a note that begins LEICA.
    assert read(leica()).points == (Point(64 / 256, 90 / 256),)


def test_ricoh_gr_notes_are_taken_apart() -> None:
    # Source: ExifTool, Ricoh::Main 0x1200, 0x1203, 0x1204.
    found = read(ricoh())
    assert (found.points, found.frame, found.in_focus) == ((Point(1000, 900),), None, True)


def test_an_om_target_is_left_top_width_height_in_a_frame_of_its_own() -> None:
    # Source: ExifTool 13, Olympus::AFTargetInfo.
    found = read(om_system([640, 480, 100, 200, 40, 30, 0, 0, 0, 0]))
    assert (found.points, found.frame) == ((Point(120, 215, 40, 30),), (640, 480))
    assert read(om_system([640, 480, 0, 0, 0, 0, 0, 0, 0, 0])).points == ()


@pytest.mark.parametrize("note", [b"PENTAX \0MM", b"RICOH\0II"])
def test_pentax_areas_in_focus_come_before_the_rest_and_the_central_one_first(note: bytes) -> None:
    # Source: ExifTool 13, Pentax::AFInfoK3III: from word 7, seven words an area; 0x04 in focus,
    # 0x10 central. The second head is the GR III's (ExifTool, MakerNoteRicohPentax).
    frame = [6192, 4128]
    areas = [[3000, 2000, 200, 200, 0], [3300, 2000, 200, 200, 4], [3600, 2000, 200, 200, 0x14]]
    head = [0, 1, 101, len(areas), 0, 0, 0]
    words = head + [one for area in areas for one in (*frame, *area)]
    found = read(pentax(words, note))
    assert [one.x for one in found.points] == [3600, 3300]
    assert found.in_focus is True
    assert read(pentax([255, *words[1:]], note)).said.startswith("manual focus")


def test_panasonic_gives_a_size_where_it_has_one() -> None:
    # Source: ExifTool 13, Panasonic::Main, tag 0x00de.
    assert read(panasonic([64, 1024, 96, 1024])).points == (
        Point(64 / 256, 90 / 256, 64 / 1024, 96 / 1024),
    )
    assert read(panasonic([0xFFFFFFFF, 1024, 0xFFFFFFFF, 1024])).said.startswith("manual focus")


def test_canon_slots_past_the_valid_ones_are_no_points() -> None:
    # Source: the samples (IXUS 185, SX240 HS) hold leftovers there, places and bits.
    areas = [100, 120, 100, 120, 30, 60, 40, 80]  # widths, heights, x, y; the second is left over
    words = [0, 2, 2, 1, 6000, 4000, 6000, 4000, *areas, 0b11, 0b11, 0]
    words[0] = 2 * len(words)
    found = read(
        picture("Canon", "Canon EOS R", lambda at: directory([Tag(0x26, SHORT, words)], at))
    )
    assert found.points == (Point(3030, 1960, 100, 100),)


@pytest.mark.parametrize("made", [nikon_0400, leica, ricoh])
def test_exiftool_reads_the_made_notes_alike(made: Callable[[], bytes], tmp_path: Path) -> None:
    if exiftool.version() is None:
        pytest.skip("ExifTool is not installed (Debian: libimage-exiftool-perl)")
    path = tmp_path / "made.jpg"
    path.write_bytes(made())
    (one,) = compare([path])
    assert one.agreement is Agreement.SAME, one
