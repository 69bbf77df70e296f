"""For how many frames there is room."""

from __future__ import annotations

from tether.verdict.checked import Check, State

# A session takes some hundred frames: common practice, no source.
FEW_FRAMES, ENOUGH_FRAMES = 100, 500


def room(
    name: str,
    frames: int,
    free_bytes: int | None,
    frame_bytes: float | None,
    why: str,
    change: str,
) -> Check:
    """Say whether so many frames, of so many bytes each where that was reckoned, are enough."""
    much = f" ({free_bytes / 1e9:.3g} GB)" if free_bytes is not None else ""
    each = f" of {frame_bytes / 1e6:.3g} MB" if frame_bytes else ""
    found = f"room for {frames:,} frames{each}{much}".replace(",", " ")
    if frames >= ENOUGH_FRAMES:
        return Check(name, State.GOOD, found, why)
    return Check(name, State.WRONG if frames < FEW_FRAMES else State.LOOK, found, why, change)
