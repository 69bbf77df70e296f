"""For how many frames there is room."""

from __future__ import annotations

from tether.verdict.checked import Check, State

# A session takes some hundred frames: common practice, no source.
FEW_FRAMES, ENOUGH_FRAMES = 100, 500


def room(name: str, frames: int, free_bytes: int | None, why: str, change: str) -> Check:
    """Say whether so many frames are enough."""
    much = f" ({free_bytes / 1e9:.3g} GB)" if free_bytes is not None else ""
    found = f"room for {frames:,} frames{much}".replace(",", " ")
    if frames >= ENOUGH_FRAMES:
        return Check(name, State.GOOD, found, why)
    return Check(name, State.WRONG if frames < FEW_FRAMES else State.LOOK, found, why, change)
