"""A frame that shows a code is a slate; what cannot name a setup, or is no code, makes none.

Codes are drawn by segno and python-barcode, which share nothing with the library that reads them.
"""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import islice

import numpy as np
import pytest
import segno
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from mocks.slate import KINDS, Slate
from tests.ordinary import bars, ordinary
from tests.pictures import grey
from tests.portraits import U8
from tests.slated import TEXTS, Taken, frame_with
from tether.frame import slate
from tether.frame.slate import LONGEST

SIZE = (1800, 1200)


def taken(held: Slate, how: Taken | None = None, size: tuple[int, int] = SIZE) -> U8:
    return frame_with(held, "bowl", size, how or Taken(), np.random.default_rng(1))[0]


def code_in(frame: U8, *on_the_list: str) -> str | None:
    found = slate.read(frame, "any", lambda code: code in on_the_list)
    return None if found is None or found.refused else found.code


@pytest.mark.parametrize("share", [0.05, 0.18])
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_code_on_the_list_is_read_as_it_is_printed(kind: str, share: float) -> None:
    frame = taken(Slate(TEXTS[kind], kind, share=share, tilt_deg=15), size=(3000, 2000))
    assert code_in(frame, TEXTS[kind]) == TEXTS[kind]


@pytest.mark.parametrize("kind", KINDS)
def test_without_a_list_a_code_counts_by_itself_if_it_is_large_and_has_a_check_digit(
    kind: str,
) -> None:
    frame = taken(Slate(TEXTS[kind], kind, share=0.15))
    assert code_in(frame) == (TEXTS[kind] if kind != "code39" else None)
    # Modulo 43: 11 + 24 + 32 + 21 + 1 + 4 = 93, of which 7 is left.
    assert code_in(taken(Slate("BOWL147", "code39", share=0.15))) == "BOWL147"


def refused(frame: U8) -> str:
    found = slate.read(frame)
    assert found is not None
    return found.refused


@pytest.mark.parametrize("kind", KINDS[1:])
def test_a_small_bar_code_that_is_not_on_the_list_is_refused_with_the_reason(kind: str) -> None:
    frame = taken(Slate(TEXTS[kind], kind, share=0.08), size=(3000, 2000))
    why = "is not on the shot list, and a bar code so small must be"
    assert refused(frame) == f"{TEXTS[kind]} {why}"
    found = slate.read(frame, "any", lambda code: code == "BOWL 14")
    assert found is not None and found.refused == f"{TEXTS[kind]} {why}"


@pytest.mark.parametrize(("text", "kind"), [("BOWL14", "code39"), ("12345678901230", "itf")])
def test_a_bar_code_without_check_digit_must_be_on_the_list(text: str, kind: str) -> None:
    frame = taken(Slate(text, kind, share=0.2))
    assert code_in(frame, text) == text
    assert refused(frame) == (
        f"{text} is not on the shot list, and a bar code without check digit must be"
    )


def test_a_micro_qr_code_counts_by_itself() -> None:
    for turns in range(4):
        assert code_in(np.rot90(filling("BOWL14", micro=True), turns).copy()) == "BOWL14"


@pytest.mark.parametrize("share", [0.04, 0.08, 0.25, 0.45])
def test_a_code_is_found_however_large_it_is_held(share: float) -> None:
    assert code_in(taken(Slate("BOWL 14", share=share), size=(6000, 4000))) == "BOWL 14"


@pytest.mark.parametrize("turn", [-90, -30, 12, 45, 90, 180])
@pytest.mark.parametrize("kind", ["qr", "ean13"])
def test_a_code_is_read_turned_any_way(kind: str, turn: float) -> None:
    frame = taken(Slate(TEXTS[kind], kind, share=0.16, turn_deg=turn))
    assert code_in(frame) == TEXTS[kind]


@pytest.mark.parametrize("tilt", [-30, 30])
def test_a_code_is_read_on_a_tilted_card_out_of_focus_in_little_light(tilt: float) -> None:
    held = Slate("CUP 3", share=0.12, tilt_deg=tilt, lean_deg=20)
    assert code_in(taken(held, Taken(defocus_px=4, stops_under=2, noise=0.02))) == "CUP 3"


@pytest.mark.parametrize("kind", ["qr", "code128"])
def test_a_telephone_and_light_on_dark_do_as_well(kind: str) -> None:
    held = Slate("JAR 2", kind, share=0.16)
    assert code_in(taken(replace(held, phone=True))) == "JAR 2"
    assert code_in(taken(replace(held, inverted=True))) == "JAR 2"
    assert code_in(taken(replace(held, inverted=True, phone=True))) == "JAR 2"


def test_a_code_at_the_frames_edge_is_read_and_one_that_is_cut_is_not() -> None:
    held = Slate("PLATE 9", "code128", share=0.2, turn_deg=0)
    assert code_in(taken(replace(held, at=(0.14, 0.9)))) == "PLATE 9"
    assert slate.read(taken(replace(held, at=(0.05, 0.5)))) is None


def test_where_the_code_lies_is_told() -> None:
    frame, truth = frame_with(
        Slate("BOWL 14", share=0.2), "bowl", SIZE, Taken(), np.random.default_rng(1)
    )
    found = slate.read(frame)
    assert found is not None
    # A square a fifth of the frame wide, turned by 4 degrees.
    side = 0.2 * SIZE[0] * (math.cos(math.radians(4)) + math.sin(math.radians(4)))
    at = found.rect
    assert abs(at.width - side) < 8 and abs(at.height - side) < 8
    assert abs(at.x + at.width / 2 - SIZE[0] / 2) < 8
    assert abs(at.y + at.height / 2 - SIZE[1] / 2) < 8
    assert truth.x < at.x and truth.y < at.y


def test_sixteen_bits_say_the_same_however_dark() -> None:
    frame = taken(Slate("BOWL 14"))
    for times in (257, 60):
        found = slate.read(frame.astype(np.uint16) * np.uint16(times))
        assert found is not None and found.code == "BOWL 14"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("A" * 4000, "its code holds 4,000 characters, more than 100"),
        ("BOWL\x1b[31m14", "its code holds characters that cannot be shown: BOWL\\x1b[31m14"),
        ("BOWL\n14", "its code holds characters that cannot be shown: BOWL\\n14"),
        ("\u202eBOWL", "its code holds characters that cannot be shown: \\u202eBOWL"),
        ("   ", "its code is empty"),
    ],
)
def test_a_text_that_names_no_setup_is_refused_with_the_reason(text: str, why: str) -> None:
    found = slate.read(filling(text))
    assert found is not None
    assert found.refused == why
    assert len(found.code) <= 40 and found.code.isprintable()


def test_bytes_that_are_no_text_are_refused() -> None:
    found = slate.read(filling(bytes(range(128, 200))))
    assert found is not None and found.refused
    assert found.code.isprintable()


def test_the_longest_name_is_taken_and_space_around_it_is_not() -> None:
    name = "Ö" + "b" * (LONGEST - 1)
    assert code_in(filling(f" {name}\n")) == name


def filling(text: str | bytes, *, micro: bool = False) -> U8:
    """A frame with a QR code over most of it, however much it holds."""
    modules = np.array(segno.make(text, micro=micro, error="l").matrix, bool)
    large = np.kron(np.pad(modules, 6), np.ones((6, 6), bool))
    return np.where(large, 25, 230).astype(np.uint8)


def both(one: Slate, other: Slate) -> U8:
    rng = np.random.default_rng(1)
    first, _ = frame_with(one, "brick", SIZE, Taken(), rng)
    second, _ = frame_with(other, "brick", SIZE, Taken(), rng)
    first[:, SIZE[0] // 2 :] = second[:, SIZE[0] // 2 :]
    return first


LEFT = Slate("BOWL 14", share=0.14, at=(0.25, 0.5))
RIGHT = Slate(TEXTS["ean13"], "ean13", share=0.18, at=(0.75, 0.5))


def test_codes_that_name_different_things_are_refused() -> None:
    found = slate.read(both(LEFT, RIGHT))
    assert found is not None
    assert found.refused.startswith("several codes in one frame: ")
    assert "BOWL 14" in found.refused and TEXTS["ean13"] in found.refused


def test_the_same_code_twice_is_one_slate() -> None:
    assert code_in(both(LEFT, replace(LEFT, at=(0.75, 0.5)))) == "BOWL 14"


def test_of_several_codes_the_one_on_the_shot_list_counts() -> None:
    found = slate.read(both(LEFT, RIGHT), "any", lambda code: code == "BOWL 14")
    assert found is not None and (found.code, found.refused) == ("BOWL 14", "")


def test_of_two_bar_codes_none_counts_by_itself_and_the_one_on_the_list_does() -> None:
    frame = both(replace(LEFT, kind="code128", share=0.16), RIGHT)
    assert "is not on the shot list, and a bar code beside another must be" in refused(frame)
    assert code_in(frame, "BOWL 14") == "BOWL 14"
    assert code_in(frame, TEXTS["ean13"]) == TEXTS["ean13"]
    both_listed = slate.read(frame, "any", lambda _: True)
    assert both_listed is not None and both_listed.refused.startswith("several codes")


def test_a_qr_code_counts_beside_the_small_bar_code_of_a_thing() -> None:
    frame = both(LEFT, replace(RIGHT, share=0.1))
    assert code_in(frame) == "BOWL 14"
    assert code_in(frame, TEXTS["ean13"]) == TEXTS["ean13"]


def test_codes_may_have_to_be_listed_or_are_not_looked_for() -> None:
    frame = taken(Slate("BOWL 14"))
    known = slate.read(frame, "listed", lambda code: code == "BOWL 14")
    assert known is not None and not known.refused
    other = slate.read(frame, "listed", lambda _: False)
    assert other is not None and other.refused == "BOWL 14 is not on the shot list"
    assert slate.read(frame, "none") is None


def test_a_small_code_on_a_thing_is_no_slate() -> None:
    assert slate.read(taken(Slate("BOWL 14", share=0.02), size=(6000, 4000))) is None


def test_part_of_a_longer_bar_code_is_not_read_as_a_shorter_one() -> None:
    # Seen: of an interleaved 2 of 5 code, tilted and out of focus, zxing-cpp reads the last eight
    # digits, along two lines that leave it through its side.
    for turn in (15, 20, 25, -20):
        for tilt in (0, 20):
            held = Slate(TEXTS["itf"], "itf", share=0.17, turn_deg=turn, tilt_deg=tilt)
            for blur in (0, 3, 4):
                found = slate.read(taken(held, Taken(blur)), "any", lambda _: True)
                assert found is None or found.code == TEXTS["itf"]


def test_ordinary_frames_are_no_slates() -> None:
    for name, frame in islice(ordinary(np.random.default_rng(11)), 35):
        assert slate.read(frame) is None, name


def test_stripes_on_plain_ground_are_no_slates() -> None:
    rng = np.random.default_rng(12)
    for _ in range(60):
        assert slate.read(bars(rng)) is None


def test_what_stripes_of_two_widths_read_as_is_no_slate_unless_it_is_listed() -> None:
    frame = taken(Slate("9111221112111", "ean13", share=0.3))
    assert slate.read(frame) is None
    assert code_in(frame, "9111221112111") == "9111221112111"


@pytest.mark.parametrize("shape", [(1, 1), (1, 4000), (64, 64), (3000, 2), (70, 900)])
def test_a_frame_of_any_shape_is_looked_at(shape: tuple[int, int]) -> None:
    rng = np.random.default_rng(2)
    picture = rng.integers(0, 65536, shape).astype(np.uint16)
    assert slate.read(picture) is None
    assert slate.read((picture >> 8).astype(np.uint8)) is None


@settings(max_examples=60, deadline=None)
@given(arrays.arrays(np.uint8, st.tuples(st.integers(1, 200), st.integers(1, 200))), st.booleans())
def test_nothing_that_a_picture_holds_makes_it_fail(picture: U8, deep: bool) -> None:
    found = slate.read(picture.astype(np.uint16) * np.uint16(257) if deep else picture)
    assert found is None or len(found.code) <= LONGEST


def test_frames_of_any_size_are_read_side_by_side() -> None:
    texts = ("BOWL 14", "CUP 3", "JAR 2", "PLATE 9")
    sizes = ((1800, 1200), (1000, 1500), (2400, 1600), (600, 400))
    frames = [
        (text, taken(Slate(text, kind, share=0.25), size=size))
        for text, size in zip(texts, sizes, strict=True)
        for kind in ("qr", "code128")
    ]
    with ThreadPoolExecutor(4) as pool:
        said = list(pool.map(lambda one: (one[0], code_in(one[1])), frames * 5))
    assert all(text == code for text, code in said), said


def test_a_view_of_a_larger_picture_is_read() -> None:
    frame = taken(Slate("BOWL 14", share=0.2))
    assert code_in(frame[::-1].T[::-1]) == code_in(np.ascontiguousarray(frame[::-1].T[::-1]))
    assert code_in(np.asfortranarray(frame)) == "BOWL 14"
    assert slate.read(np.asarray(grey(), np.uint8)) is None
