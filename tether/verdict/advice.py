"""What to change and then why, in at most two lines, with this frame's numbers."""

from __future__ import annotations

from tether.model import Cause, Exposure, Measurement, Motion, Source, Verdict
from tether.optics import shutter


def advise(
    verdict: Verdict,
    cause: Cause | None,
    measurement: Measurement,
    limit_px: float,
    exposure: Exposure,
    source: Source,
    long_side_px: int,
) -> tuple[str, ...]:
    """Say what to change after this frame; nothing after a sharp one."""
    if verdict is Verdict.UNJUDGED:
        return _unjudged(cause, measurement, exposure, source)
    widest = measurement.widest
    if verdict is Verdict.SHARP or widest is None:
        return ()
    if verdict is Verdict.BORDERLINE:
        return (
            "Look at it at 1:1, or take one more.",
            f"Edges between {widest.lo:.1f} and {widest.hi:.1f} px wide, {limit_px:.1f} allowed: "
            "too close to tell.",
        )
    seen = f"Edges {widest.px:.1f} px wide, {limit_px:.1f} allowed"
    if measurement.motion is not None:
        return (_steady(exposure, long_side_px), f"{seen}, {_movement(measurement.motion)}.")
    if cause is Cause.DEFOCUS:
        return (_refocus(source), f"{seen}, too wide in every direction: out of focus.")
    return (
        "Take it again, refocused and held steady.",
        f"{seen}; this area does not tell focus from movement.",
    )


def _movement(motion: Motion) -> str:
    return f"{motion.ratio:.1f} times wider along {motion.angle_deg:.0f}°: something moved"


def _steady(exposure: Exposure, long_side_px: int) -> str:
    focal, pitch, used = exposure.focal_length_mm, exposure.pixel_pitch_um, exposure.shutter_s
    if not focal or not pitch or not used:
        return "Shorten the shutter, brace or use a tripod, and let the subject hold still."
    wanted = shutter.slowest_handheld_s(shutter.equivalent_mm(focal, pitch, long_side_px))
    if used > wanted * 1.1:
        return f"{_time(used)} at {focal:.0f} mm is slow for a hand: {_time(wanted)}, or a tripod."
    return f"{_time(used)} holds a hand's shake at {focal:.0f} mm: look for a moving subject."


def _refocus(source: Source) -> str:
    if source is Source.FRAME_CENTRE:
        return "The frame's centre was judged: no focus area is known. Set one, then refocus."
    return f"Refocus on the {source.value}, one focus point, and take it again."


def _unjudged(
    cause: Cause | None, measurement: Measurement, exposure: Exposure, source: Source
) -> tuple[str, ...]:
    told = f" ({measurement.note})" if measurement.note else ""
    if cause is Cause.TOO_NOISY:
        iso = f" at ISO {exposure.iso}" if exposure.iso else ""
        return (f"Too noisy{iso} to judge here{told}: more light, or look at it at 1:1.",)
    return (
        "Put the area where there is an edge: a lash, lettering, a rim.",
        f"Nothing to judge in the {source.value}{told}.",
    )


def _time(seconds: float) -> str:
    return f"{seconds:.1f} s" if seconds >= 0.4 else f"1/{1 / seconds:.0f} s"
