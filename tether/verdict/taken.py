"""How a frame was focused and held, as its metadata tells, in a few words."""

from __future__ import annotations

import math

from tether.model import Exposure, FocusMode

_MODES = {
    FocusMode.SINGLE: "single autofocus",
    FocusMode.CONTINUOUS: "continuous autofocus",
    FocusMode.AUTOMATIC: "automatic autofocus",
    FocusMode.MANUAL: "manual focus",
}


def focusing(taken: Exposure) -> str:
    """Say what is told of focus and stabiliser; empty where nothing is."""
    parts = [_focus(taken)]
    if taken.stabilised is not None:
        parts.append(f"stabiliser {'on' if taken.stabilised else 'off'}")
    return ", ".join(part for part in parts if part)


def _focus(taken: Exposure) -> str:
    mode = _MODES[taken.focus_mode] if taken.focus_mode else ""
    distance = taken.focus_distance_m
    if distance is None:
        return mode
    where = "at infinity" if math.isinf(distance) else f"at {distance:.3g} m"
    return f"{mode or 'focused'} {where}"
