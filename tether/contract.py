"""The contract: one JSON object a frame, every key always there, null where unknown."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from tether.model import EdgeWidth, FocusArea, Judgement, Rect, Source

SCHEMA = 1

_EXPOSURE = (
    "shutter_s", "f_number", "focal_length_mm", "iso", "lens", "body", "pixel_pitch_um",
)  # fmt: skip


def line(judgement: Judgement) -> str:
    """One line of JSON for a frame, in ASCII, without its newline."""
    return json.dumps(as_dict(judgement), allow_nan=False)


def as_dict(judgement: Judgement) -> dict[str, Any]:
    """The contract's keys and values for a frame: lengths in px, times in s or ms as named."""
    measurement = judgement.measurement
    widest = measurement.widest if measurement else None
    narrowest = measurement.narrowest if measurement else None
    motion = measurement.motion if measurement else None
    pitch = judgement.exposure.pixel_pitch_um
    return {
        "schema": SCHEMA,
        "file": str(judgement.file),
        "frame": judgement.frame,
        "setup": judgement.setup,
        "arrived": judgement.arrived.isoformat(timespec="milliseconds"),
        "judged": judgement.judged.isoformat(timespec="milliseconds"),
        "latency_ms": round(judgement.latency_ms, 1),
        "verdict": judgement.verdict.value,
        "cause": judgement.cause.value if judgement.cause else None,
        "edge_width_px": round(widest.px, 2) if widest else None,
        "edge_width_px_95": _interval(widest),
        "edge_width_narrow_px": round(narrowest.px, 2) if narrowest else None,
        "edge_width_um": round(widest.px * pitch, 2) if widest and pitch else None,
        "limit_px": judgement.limit_px,
        "relative_blur": _rounded(judgement.relative_blur),
        "motion": asdict(motion) if motion else None,
        "area": _area(judgement),
        "sharpest": _sharpest(judgement.sharpest),
        "exposure": {key: getattr(judgement.exposure, key) for key in _EXPOSURE},
        "advice": list(judgement.advice),
        "error": judgement.error,
    }


def area(told: dict[str, Any]) -> FocusArea | None:
    """Where a frame was judged, read from its object again.

    Raises
    ------
    KeyError, TypeError, ValueError
        It is damaged.
    """
    found = told["area"]
    return FocusArea(rect(found), Source(found["source"])) if found else None


def rect(told: dict[str, Any]) -> Rect:
    """Read a rectangle again, px; errors as `area`."""
    return Rect(*(int(told[key]) for key in ("x", "y", "width", "height")))


def _rounded(ratio: float | None) -> float | None:
    return round(ratio, 3) if ratio is not None else None


def _interval(width: EdgeWidth | None) -> list[float] | None:
    return [round(width.lo, 2), round(width.hi, 2)] if width else None


def _area(judgement: Judgement) -> dict[str, Any] | None:
    area = judgement.area
    return {**asdict(area.rect), "source": area.source.value} if area else None


def _sharpest(found: tuple[Rect, EdgeWidth] | None) -> dict[str, Any] | None:
    if found is None:
        return None
    rect, width = found
    return {**asdict(rect), "edge_width_px": round(width.px, 2)}
