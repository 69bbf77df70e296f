"""A face's parts tell where the focus lay, in plain words, and only where they are sure."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tether.model import Cause, EdgeWidth, Part
from tether.verdict.plane import PartSeen, find_plane, surely_narrower

LIMIT = 3.0
DEPTH = {
    Part.NOSE: 0.4,
    Part.MOUTH: 0.15,
    Part.NEAR_CHEEK: 0.3,
    Part.NEAR_EYE: 0.2,
    Part.FAR_EYE: -0.2,
    Part.RIGHT_EYE: 0.0,
    Part.LEFT_EYE: 0.0,
    Part.HAIR: -0.5,
    Part.NEAR_EAR: -0.7,
    Part.RIGHT_EAR: -1.25,
    Part.LEFT_EAR: -1.25,
}


def seen(part: Part, px: float, doubt: float = 1.3) -> PartSeen:
    """A part with edges of `px`, its interval `doubt` times either way."""
    width = EdgeWidth(px, px / doubt, px * doubt)
    return PartSeen(part, DEPTH[part], width, width)


def face(**px: float) -> list[PartSeen]:
    return [seen(Part[name.upper()], width) for name, width in px.items()]


@pytest.mark.parametrize(
    ("parts", "cause", "words"),
    [
        (
            face(nose=2.1, right_eye=5.4, left_eye=5.4),
            Cause.FRONT_FOCUS,
            "the nose is sharper than the eyes (2.1 against 5.4 px)",
        ),
        (
            face(nose=2.1, near_eye=5.4, far_eye=9),
            Cause.FRONT_FOCUS,
            "the nose is sharper than the near eye (2.1 against 5.4 px)",
        ),
        (
            face(near_cheek=2.0, near_eye=6.0),
            Cause.FRONT_FOCUS,
            "the near cheek is sharper than the near eye (2.0 against 6.0 px)",
        ),
        (
            face(nose=2.0, right_eye=6.0),
            Cause.FRONT_FOCUS,
            "the nose is sharper than the right eye (2.0 against 6.0 px)",
        ),
        (
            face(right_eye=7, left_eye=7, nose=9, left_ear=2.5, right_ear=3.0),
            Cause.BACK_FOCUS,
            "the left ear is sharper than the eyes (2.5 against 7.0 px)",
        ),
        (
            face(near_eye=7, nose=9, hair=2.5),
            Cause.BACK_FOCUS,
            "the hair is sharper than the near eye (2.5 against 7.0 px)",
        ),
        (
            face(near_eye=5.4, far_eye=2.1, nose=8),
            Cause.BACK_FOCUS,
            "the far eye is sharp and the near one is not (2.1 against 5.4 px)",
        ),
        (
            face(near_eye=9, far_eye=3.5, near_ear=2.0),
            Cause.BACK_FOCUS,
            "the far eye is sharper than the near eye (3.5 against 9.0 px)",
        ),
    ],
)
def test_what_is_sharper_than_the_eye_says_where_the_focus_lay(
    parts: list[PartSeen], cause: Cause, words: str
) -> None:
    for order in (parts, parts[::-1]):
        told = find_plane(order, LIMIT)
        assert told is not None
        assert (told.cause, told.words) == (cause, words)


@pytest.mark.parametrize(
    "parts",
    [
        [],
        face(nose=2, mouth=2, left_ear=2),
        face(right_eye=6, left_eye=6),
        face(nose=6, right_eye=6, left_eye=6, hair=6, left_ear=6),
        face(nose=5.4, right_eye=6, left_eye=6),
        face(nose=9, right_eye=6, left_eye=6, left_ear=14),
    ],
    ids=["nothing seen", "no eye", "eyes alone", "alike", "hardly sharper", "eyes sharpest"],
)
def test_nothing_is_told_where_no_part_is_surely_sharper(parts: list[PartSeen]) -> None:
    assert find_plane(parts, LIMIT) is None


def test_nothing_is_told_of_an_eye_that_is_sharp() -> None:
    assert find_plane(face(nose=1.2, right_eye=2.9, left_eye=2.9), LIMIT) is None


def test_an_interval_too_wide_leaves_it_open() -> None:
    unsure = [seen(Part.NOSE, 3, doubt=4), seen(Part.RIGHT_EYE, 6)]
    assert find_plane(unsure, LIMIT) is None
    assert find_plane([seen(Part.NOSE, 3), unsure[1]], LIMIT) is not None


def test_hair_that_falls_before_the_face_leaves_it_open() -> None:
    assert find_plane(face(nose=2.1, hair=2.5, right_eye=6, left_eye=6), LIMIT) is None


def test_hair_alone_is_no_witness_for_a_bent_head() -> None:
    assert find_plane(face(hair=2.0, right_eye=6, left_eye=6), LIMIT) is None
    assert find_plane(face(hair=2.0, right_eye=6, left_eye=6, mouth=7), LIMIT) is not None


def test_a_part_level_with_the_eye_says_nothing() -> None:
    level = replace(seen(Part.NEAR_CHEEK, 2.0), depth=0.22)
    assert find_plane([level, seen(Part.NEAR_EYE, 6.0)], LIMIT) is None


def test_a_movement_of_the_whole_says_nothing() -> None:
    # All is widened one way to 12 px: only the narrowest directions are held against one another.
    smeared = EdgeWidth(12, 10, 14)
    parts = [replace(part, widest=smeared) for part in face(nose=2.0, right_eye=2.2, left_eye=2.2)]
    assert find_plane(parts, LIMIT) is None


def test_two_eyes_are_surer_than_one() -> None:
    nose, right = seen(Part.NOSE, 3.9, 1.5), seen(Part.RIGHT_EYE, 5.4, 1.6)
    assert find_plane([nose, right], LIMIT) is None
    assert find_plane([nose, right, replace(right, part=Part.LEFT_EYE)], LIMIT) is not None


def test_the_ratio_of_two_widths_is_judged_with_both_their_doubts() -> None:
    # Zou and Donner (2008): lower limit ln 2 - √(ln² 1.4 + ln² 1.5) = 0.167, above 0.
    assert surely_narrower(EdgeWidth(3, 2, 4.2), EdgeWidth(6, 4, 7))
    assert not surely_narrower(EdgeWidth(6, 4, 7), EdgeWidth(3, 2, 4.2))
    assert not surely_narrower(EdgeWidth(3, 2, 12), EdgeWidth(6, 2, 7))
