"""What an area shows has a name for every figure, and the figures do what the names say."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import special

from tests.sharpness.pictures import blur, coded, gauss
from tests.sharpness.test_promises import wheel
from tether.model import Rect
from tether.sharpness.direction import swing
from tether.sharpness.edges import edge_points
from tether.sharpness.energy import energy
from tether.sharpness.interval import SEEN
from tether.sharpness.network import by_direction, calibration
from tether.sharpness.octaves import octaves
from tether.sharpness.reblur import reblur
from tether.sharpness.spectra import DIRECTIONS, turns
from tether.sharpness.tone import ToneCurve
from tether.sharpness.traits import DIRECTIONAL, OVERALL, traits

AREA = Rect(24, 24, 208, 208)


def test_every_input_of_the_networks_has_a_name() -> None:
    shown = traits(coded(wheel()), AREA, ToneCurve.SRGB)
    assert shown.directional.shape == (DIRECTIONS, len(DIRECTIONAL))
    assert shown.overall.shape == (len(OVERALL),)
    how = calibration()
    assert by_direction(shown).shape[1] == len(how.widths.centre)
    assert len(SEEN) + 2 * len(DIRECTIONAL) + len(OVERALL) == len(how.errors.centre)


def test_light_and_contrast_change_no_power_that_is_told_against_another() -> None:
    bright = traits(coded(wheel(1.5)), AREA, ToneCurve.SRGB).directional[:, 1:6]
    faint = coded(0.3 + 0.4 * (wheel(1.5) - 0.4))
    assert traits(faint, AREA, ToneCurve.SRGB).directional[:, 1:6] == pytest.approx(bright, abs=0.4)


@pytest.mark.parametrize("sigma", [1.0, 2.0, 3.0])
def test_an_edge_loses_to_smoothing_what_its_width_says(sigma: float) -> None:
    # Elder & Zucker, IEEE PAMI 20(7), 1998: gradients of a blurred step under smoothing a and b
    # are as sqrt(s² + b²) to sqrt(s² + a²). Here a is 1 px and b 2 px and the halving's own.
    x = (np.arange(256) - 127.5)[None, :] / sigma
    picture = coded(np.broadcast_to(0.3 + 0.1 * special.ndtr(x), (256, 256)))
    full, half, _ = octaves(picture, AREA, ToneCurve.SRGB)
    found = reblur(full, half, edge_points(full, 100, 0.0))
    ideal = 0.5 * math.log((sigma**2 + 4 + 0.25) / (sigma**2 + 1))
    assert float(np.median(found.log_ratio)) == pytest.approx(ideal, abs=0.12)


def test_a_swing_of_the_width_is_found_with_its_angle() -> None:
    angle = math.radians(37)
    square = 20 + 12 * np.cos(2 * (turns() - angle))
    found = swing(0.5 * np.log(square), np.full(DIRECTIONS, 0.1))
    assert math.exp(found.wide) == pytest.approx(math.sqrt(32))
    assert math.exp(found.narrow) == pytest.approx(math.sqrt(8))
    assert found.angle == pytest.approx(angle)
    assert found.misfit == pytest.approx(0, abs=1e-9)


def test_energy_falls_with_every_blur_and_does_not_mind_the_light() -> None:
    frames = [coded(blur(wheel(0.8), gauss(s))) for s in (0.5, 1.0, 2.0, 4.0)]
    ranks = [energy(f, AREA, ToneCurve.SRGB) for f in frames]
    assert ranks == sorted(ranks, reverse=True)
    darker = energy(coded(blur(wheel(0.8), gauss(1.0)) / 4), AREA, ToneCurve.SRGB)
    assert darker == pytest.approx(ranks[1], rel=0.1)
