"""The next shot, from what the camera tells, the settings, and the last frame."""

from __future__ import annotations

from dataclasses import replace

from tether.model import CameraSettings, Judgement
from tether.settings import Settings
from tether.verdict import before_shot
from tether.verdict.shot import Shot


class NextShot:
    """What would make the next frame soft, as camera and frames come in."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._camera: CameraSettings | None = None
        self._last: Judgement | None = None
        self.concerns: tuple[tuple[str, str], ...] = ()

    def adjusted(self, camera: CameraSettings | None) -> None:
        """Take in what the camera is set to; None where there is none."""
        self._camera = camera
        self._look()

    def taken(self, frame: Judgement) -> None:
        """Take in a frame: it may tell what the camera does not."""
        if self._last is None or frame.arrived >= self._last.arrived:
            self._last = frame
            self._look()

    def _look(self) -> None:
        if self._camera is None:
            self.concerns = ()
            return
        found = before_shot.concerns(shot(self._camera, self._settings, self._last))
        self.concerns = tuple(
            (check.state.value, f"{check.found}: {check.change}") for check in found
        )


def shot(camera: CameraSettings, settings: Settings, last: Judgement | None = None) -> Shot:
    """Join them: what is set by hand comes first, then the camera, then the last frame."""
    own, taken = settings.camera, last.exposure if last else None
    pitch = own.pixel_pitch_um or (taken.pixel_pitch_um if taken else None)
    width = own.sensor_width_mm
    if width is None and last and last.size and pitch:
        width = max(last.size) * pitch / 1000
    if camera.focal_length_mm is None and taken:
        camera = replace(camera, focal_length_mm=taken.focal_length_mm)
    distance = own.subject_distance_m or camera.focus_distance_m
    if distance is None and taken:
        distance = taken.focus_distance_m
    return Shot(
        camera=camera,
        purpose=settings.limit.purpose,
        tripod=own.support == "tripod",
        sensor_width_mm=width,
        pixel_pitch_um=pitch,
        subject_distance_mm=1000 * distance if distance else None,
        subject_depth_mm=10 * own.subject_depth_cm if own.subject_depth_cm else None,
    )
