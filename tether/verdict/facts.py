"""All that is known of one frame when advice is given, in one value."""

from __future__ import annotations

from dataclasses import dataclass

from tether.model import (
    Against,
    Around,
    Cause,
    EdgeWidth,
    Exposure,
    FocusArea,
    FocusMode,
    Measurement,
    Verdict,
)
from tether.optics import floor


@dataclass(frozen=True, slots=True)
class Facts:
    """One frame, as advice sees it; what is not known is None or empty.

    `width` and `height` are those of the unrotated picture, px, and `orientation` is Exif's.
    `where` says in words where else it is sharper ("the nose is sharper than the near eye").
    `history` holds the causes of the frames before this one with the same lens, None for a frame
    without a cause. `focus_distance_mm` is where the lens was focused, and `depth_needed_mm` how
    much of the subject is to be sharp, near end to far end. `relative_blur` is the edge width over
    that of the reference that `against` names.
    """

    verdict: Verdict
    cause: Cause | None
    measurement: Measurement
    limit_px: float
    exposure: Exposure
    area: FocusArea
    width: int
    height: int
    orientation: int = 1
    around: Around | None = None
    where: str = ""
    history: tuple[Cause | None, ...] = ()
    focus_distance_mm: float | None = None
    depth_needed_mm: float | None = None
    against: Against | None = None
    relative_blur: float | None = None

    @property
    def long_side_px(self) -> int:
        """The picture's long side."""
        return max(self.width, self.height)

    @property
    def by_hand(self) -> bool:
        """Whether the frame was focused by hand, so that no focus point has a part in it."""
        return self.exposure.focus_mode is FocusMode.MANUAL

    @property
    def widths(self) -> tuple[EdgeWidth, EdgeWidth]:
        """Edge widths of the widest and the narrowest direction, of a frame that was measured."""
        widest, narrowest = self.measurement.widest, self.measurement.narrowest
        assert widest is not None and narrowest is not None, "nothing was measured"
        return widest, narrowest

    def focused_px(self, f_number: float | None) -> float:
        """Edge width, px, that this camera would give at an f-number with nothing wrong."""
        return floor.focused_px(self.long_side_px, f_number, self.exposure.pixel_pitch_um)
