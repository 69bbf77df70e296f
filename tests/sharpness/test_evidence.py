"""What is drawn of a measurement is what it rests on."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.pictures import grey, portrait
from tests.sharpness.pictures import blur, coded, light, path
from tether.model import Rect
from tether.sharpness.evidence import evidence, swung
from tether.sharpness.measure import measure

AREA = Rect(100, 60, 260, 200)


@pytest.mark.parametrize("sigma", [0.0, 3.0, 6.0])
def test_the_swing_reaches_about_as_far_as_what_was_measured(sigma: float) -> None:
    luma = np.ascontiguousarray(portrait(sigma)[..., 1])
    found, measured = evidence(luma, AREA), measure(luma, AREA)
    assert found.widths is not None and measured.widest is not None
    assert measured.edges == len(found.edges.px)
    widths = swung(found.widths.swing, np.linspace(0, np.pi, 181))
    assert measured.widest.lo < widths.max() < measured.widest.hi
    assert ((found.widths.lo < found.widths.px) & (found.widths.px < found.widths.hi)).all()


def test_edges_lie_within_the_area() -> None:
    found = evidence(grey(), AREA).edges
    assert len(found.px) > 12
    assert found.x.min() >= 0 and found.y.min() >= 0
    assert found.x.max() < AREA.width and found.y.max() < AREA.height


def test_a_wide_blur_is_drawn_from_the_halved_area_too() -> None:
    narrow, wide = (evidence(np.ascontiguousarray(portrait(s)[..., 1]), AREA) for s in (1.0, 6.0))
    assert narrow.widths is not None and wide.widths is not None
    assert narrow.widths.halved == 0
    # Its edges agree in part, and what they agree on needs no halving.
    assert wide.widths.halved > 0.2


def test_a_movement_is_widest_along_itself() -> None:
    moved = coded(blur(light(grey()), path(14, 30)))
    found = evidence(moved, AREA).widths
    assert found is not None
    off = (math.degrees(found.swing.angle) - 30 + 90) % 180 - 90
    assert abs(off) < 20
    assert found.angle_deg[int(found.px.argmax())] == pytest.approx(30, abs=30)


def test_too_few_edges_tell_no_width() -> None:
    found = evidence(np.full((300, 400), 90, np.uint8), AREA)
    assert found.widths is None
    assert len(found.edges.px) == 0
