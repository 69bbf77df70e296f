"""The next shot's depth of field.

Depths are those of the exact thin lens (D. Jacobson's FAQ, worked out independently).
"""

from __future__ import annotations

import math

import pytest

from tether.model import CameraSettings, Pixels
from tether.verdict.shot import Shot

NEAR_MM, FAR_MM = 2337.91, 4185.27  # 50 mm, f/8, c 0.03 mm, 3 m


def shot(camera: CameraSettings, **known: float) -> Shot:
    return Shot(camera=camera, purpose=Pixels(4.0), **known)  # type: ignore[arg-type]


def test_without_a_pitch_tables_disk_of_full_frame_is_taken() -> None:
    one = shot(CameraSettings(focal_length_mm=50.0), subject_distance_mm=3000.0)
    assert one.held_mm(8.0) == pytest.approx(FAR_MM - NEAR_MM, abs=0.02)


def test_a_smaller_sensor_is_enlarged_more_and_holds_less() -> None:
    camera = CameraSettings(focal_length_mm=50.0)
    full = shot(camera, subject_distance_mm=3000.0).held_mm(8.0)
    half = shot(camera, subject_distance_mm=3000.0, sensor_width_mm=18.0).held_mm(8.0)
    assert full is not None
    assert half is not None
    # The disk is half as large; f/4 on full frame has the same ratio of f² to N c.
    assert half == pytest.approx(shot(camera, subject_distance_mm=3000.0).held_mm(4.0))


def test_focal_length_in_35_mm_terms() -> None:
    # 36 / 24 = 1.5: definition of the crop factor along the long side.
    camera = CameraSettings(focal_length_mm=50.0)
    assert shot(camera, sensor_width_mm=24.0).equivalent_mm == pytest.approx(75.0)
    assert shot(camera).equivalent_mm == 50.0
    assert shot(CameraSettings()).equivalent_mm is None


def test_the_disk_is_what_limit_leaves_beside_pixel_lens_and_diffraction() -> None:
    one = shot(CameraSettings(), sensor_width_mm=36.0, pixel_pitch_um=6.0)
    open_wide, closed = one.disk_mm(2.8), one.disk_mm(16.0)
    # Alone, without any other blur, 4 px of 6 µm would be 0.024 / 0.687049 (edge of a disk).
    assert 0 < closed < open_wide < 0.024 / 0.687049
    # 6000 px: 4² less 0.8², 1.28², (6000/7200)² and (1.33287 · 0.55 · 2.8 / 6)², in px; worked out
    # by hand from the sums that optics/floor names.
    assert open_wide == pytest.approx(0.03138, abs=2e-5)


def test_nothing_is_held_where_the_limit_is_finer_than_the_camera() -> None:
    one = Shot(
        camera=CameraSettings(focal_length_mm=50.0),
        purpose=Pixels(1.0),
        sensor_width_mm=36.0,
        pixel_pitch_um=6.0,
        subject_distance_mm=3000.0,
    )
    assert one.held_mm(8.0) == 0.0


@pytest.mark.parametrize("distance", [None, 0.0, 30.0, math.inf])
def test_no_depth_without_a_distance_in_front_of_the_lens(distance: float | None) -> None:
    camera = CameraSettings(focal_length_mm=50.0)
    one = Shot(camera=camera, purpose=Pixels(4.0), subject_distance_mm=distance)
    assert one.held_mm(8.0) is None
