"""Which of Canon's focus areas counts, in every generation of its AF information."""

from __future__ import annotations

from collections.abc import Sequence

from tether.frame.focus_points.focus import NOT_NAMED, CameraFocus, Point, found


def marked(mask: Sequence[int], areas: Sequence[Point]) -> list[Point]:
    """Areas whose bit is set in 16-bit words, the lowest bit of the first word being area 0."""
    return [
        one for n, one in enumerate(areas) if n // 16 < len(mask) and mask[n // 16] >> n % 16 & 1
    ]


def choice(
    areas: Sequence[Point],
    frame: tuple[float, float],
    *,
    focused: Sequence[Point],
    chosen: Sequence[Point],
    primary: Point | None,
    square: bool,
    on: str = "",
) -> CameraFocus:
    """Take the areas in focus, else those chosen, else the primary or the only one."""
    if focused:
        return found(focused, frame, square=square, in_focus=True, primary=primary, on=on)
    if not chosen:
        chosen = [primary] if primary is not None else areas if len(areas) == 1 else []
    if not chosen:
        return NOT_NAMED
    return found(chosen, frame, square=square, in_focus=False, primary=primary, on=on)
