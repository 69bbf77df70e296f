"""Where faces were is remembered by setup and camera, and only so long."""

from __future__ import annotations

from dataclasses import replace

from tether.frame.faces_likely import Likely
from tether.session.faces_seen import KEPT, FacesSeen

FIRST = Likely(0.2, 0.3, 0.02)
SECOND = Likely(0.7, 0.4, 0.03, 90.0)


def test_the_newest_come_first_and_each_place_once() -> None:
    seen = FacesSeen()
    seen.add(None, None, [FIRST])
    seen.add(None, None, [SECOND, replace(FIRST, x=0.205)])
    assert seen.likely(None, None) == (SECOND, replace(FIRST, x=0.205))


def test_setups_and_cameras_are_kept_apart() -> None:
    seen = FacesSeen()
    seen.add(1, "left", [FIRST])
    assert seen.likely(1, "left") == (FIRST,)
    assert seen.likely(1, "above") == seen.likely(2, "left") == seen.likely(None, None) == ()


def test_frames_without_let_it_be_forgotten() -> None:
    seen = FacesSeen()
    seen.add(None, None, [FIRST])
    for _ in range(KEPT - 1):
        seen.add(None, None, [])
    assert seen.likely(None, None) == (FIRST,)
    seen.add(None, None, [])
    assert seen.likely(None, None) == ()
