"""The next shot as far as it is known before it is taken."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tether.model import CameraSettings, Exposure, Purpose
from tether.optics import depth, floor
from tether.verdict import limit

FULL_FRAME_MM = 36.0
DISK_OF_FULL_FRAME_MM = 0.03
"""The disk that tables of depth of field allow on 24 × 36 mm; common practice (Ray 2000)."""


@dataclass(frozen=True, slots=True)
class Shot:
    """What the camera is set to, what holds it, and what is to be sharp.

    `sensor_width_mm` is the sensor's long side. `subject_depth_mm` is how much of the subject is
    to be sharp, near end to far end, and `subject_distance_mm` how far it is. What is not known is
    None.
    """

    camera: CameraSettings
    purpose: Purpose
    tripod: bool = False
    sensor_width_mm: float | None = None
    pixel_pitch_um: float | None = None
    subject_distance_mm: float | None = None
    subject_depth_mm: float | None = None

    @property
    def equivalent_mm(self) -> float | None:
        """Focal length in 35 mm terms; of a sensor that is not known, as on full frame."""
        focal = self.camera.focal_length_mm
        if focal is None:
            return None
        return focal * FULL_FRAME_MM / (self.sensor_width_mm or FULL_FRAME_MM)

    def disk_mm(self, f_number: float) -> float:
        """The blur disk on the sensor that the purpose leaves for focus, 0 where it leaves none.

        Of a sensor whose width or pixel pitch is not known, what tables of depth of field allow.
        """
        width, pitch = self.sensor_width_mm, self.pixel_pitch_um
        if not width or not pitch:
            return DISK_OF_FULL_FRAME_MM * (width or FULL_FRAME_MM) / FULL_FRAME_MM
        long_side = round(1000 * width / pitch)
        taken = Exposure(f_number=f_number, pixel_pitch_um=pitch)
        allowed = limit.allowed(self.purpose, long_side, taken).px
        excess = allowed**2 - floor.focused_px(long_side, f_number, pitch) ** 2
        return depth.disk_of_edge(math.sqrt(excess)) * pitch / 1000 if excess > 0 else 0.0

    def held_mm(self, f_number: float) -> float | None:
        """Depth that is sharp at an f-number, near end to far end, mm; None where not known."""
        focal, distance = self.camera.focal_length_mm, self.subject_distance_mm
        if not focal or not distance or distance <= focal:
            return None
        disk = self.disk_mm(f_number)
        if disk == 0 or math.isinf(distance):
            return 0.0 if disk == 0 else None
        near, far = depth.limits_mm(focal, f_number, disk, distance)
        return far - near
