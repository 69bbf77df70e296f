"""What pixel, lens and diffraction make of a step when nothing is wrong."""

from __future__ import annotations

import itertools
import math

import pytest

from tests.optics import edges
from tether.optics import diffraction
from tether.optics.floor import (
    INTERPOLATION_PX,
    PIXEL_PX,
    camera_px,
    diffraction_px,
    floor_px,
    focused_px,
)


def test_a_pixels_face_is_a_box() -> None:
    assert pytest.approx(edges.width(edges.box(1.0)), abs=0.02) == PIXEL_PX


def test_interpolated_green_is_known_or_the_mean_of_four() -> None:
    # Along one axis the mean of four neighbours reaches -1, 0, 0 and 1 px.
    variance = (0 + (1 + 0 + 0 + 1) / 4) / 2
    assert pytest.approx(edges.width(edges.gaussian(math.sqrt(variance))), abs=0.02) == (
        INTERPOLATION_PX
    )


BLURS = {
    "box 1": edges.box(1.0),
    "box 5": edges.box(5.0),
    "disk 2": edges.disk(2.0),
    "disk 6": edges.disk(6.0),
    "gaussian 0.5": edges.gaussian(0.5),
    "gaussian 1.5": edges.gaussian(1.5),
}


@pytest.mark.parametrize("pair", list(itertools.combinations(BLURS, 2)), ids=" and ".join)
def test_widths_add_in_squares(pair: tuple[str, str]) -> None:
    one, other = (BLURS[name] for name in pair)
    whole = edges.width(edges.together(one, other))
    assert math.hypot(edges.width(one), edges.width(other)) == pytest.approx(whole, rel=0.06)


def test_the_floor_is_near_two_px_for_usual_cameras() -> None:
    # 24 and 45 million pixels on 36 mm, f/5.6: half contrast, at 0.48 / edge width, near 0.26 and
    # 0.23 cycles a px.
    assert floor_px(6000, 5.6, 6.0) == pytest.approx(1.86, abs=0.01)
    assert floor_px(8256, 5.6, 4.35) == pytest.approx(2.12, abs=0.01)


def test_diffraction_counts_as_far_as_it_cannot_be_helped() -> None:
    assert floor_px(8256, 5.6, 4.35) == focused_px(8256, 5.6, 4.35)
    assert floor_px(8256, 22, 4.35) < focused_px(8256, 22, 4.35)
    assert floor_px(8256, 22, 4.35) == pytest.approx(math.sqrt(2) * camera_px(8256))


def test_what_is_unknown_is_left_out() -> None:
    assert floor_px(6000, None, 6.0) == floor_px(6000, 22, None) == camera_px(6000)


def test_diffraction_in_px() -> None:
    assert diffraction_px(22, 4.0) == pytest.approx(diffraction.edge_width_um(22) / 4.0)
