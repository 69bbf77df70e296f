"""Image regions as the Metadata Working Group's guidelines lay them down in XMP (`mwg-rs`)."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from dataclasses import dataclass
from typing import Any

FOCUS, FACE = "Focus", "Face"

# More than any camera or keyworder writes, and few enough to be read in no time.
_MOST = 500
_KEY = re.compile(r"Xmp\.mwg-rs\.Regions/mwg-rs:(?:RegionList\[(\d+)\]/)?(.+)")
_UNUSED = frozenset({"EvaluatedNotUsed", "NotEvaluatedNotUsed"})
_LIKE = 0.02  # of an aspect ratio: rounding, and the border that raw developers cut


@dataclass(frozen=True, slots=True)
class Region:
    """One region: `kind` is its type, x and y its centre, all in shares of the frame's sides.

    `diameter` is that of a circle, in shares of the shorter side; `width` and `height` are 0
    then. `used` is whether it is a focus area that the camera focused by; None where that is not
    told.
    """

    kind: str
    x: float
    y: float
    width: float
    height: float
    diameter: float
    used: bool | None


@dataclass(frozen=True, slots=True)
class Regions:
    """A file's regions with the size of the frame they were written for, px, if it is told.

    `sidecar` names the file beside the picture that they come from, or is empty.
    """

    every: tuple[Region, ...]
    applied: tuple[float, float] | None
    sidecar: str = ""


def regions(xmp: Any, sidecar: str = "") -> Regions | None:
    """Read the regions of what the XMP reader found; None where there are none."""
    whole: dict[str, str] = {}
    each: dict[int, dict[str, str]] = defaultdict(dict)
    for datum in xmp:
        found = _KEY.fullmatch(datum.key())
        if found is None:
            continue
        number = int(found[1] or 0) if len(found[1] or "") < 9 else _MOST + 1
        if number <= _MOST:
            (each[number] if number else whole)[_plain(found[2])] = str(datum.value()).strip()
    applied = _size(whole)
    every = [_region(one, applied) for _, one in sorted(each.items())]
    kept = tuple(one for one in every if one is not None)
    return Regions(kept, applied, sidecar) if kept else None


def same_shape(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Return whether two widths and heights have one aspect ratio."""
    ratio = one[0] * other[1] / (one[1] * other[0])
    return 1 - _LIKE < ratio < 1 + _LIKE


def number(text: str | None) -> float | None:
    """A finite number as XMP writes it, a fraction too; None for anything else."""
    try:
        upper, _, lower = (text or "").partition("/")
        found = float(upper) / float(lower) if lower else float(upper)
    except (ValueError, ZeroDivisionError):
        return None
    return found if math.isfinite(found) else None


def _plain(path: str) -> str:
    """A path below a structure without the prefixes, which are the writer's to choose."""
    return "/".join(step.rpartition(":")[2] for step in path.split("/"))


def _size(whole: dict[str, str]) -> tuple[float, float] | None:
    width, height = (number(whole.get(f"AppliedToDimensions/{side}")) for side in "wh")
    return (width, height) if width and height and min(width, height) > 0 else None


def _region(told: dict[str, str], applied: tuple[float, float] | None) -> Region | None:
    x, y, width, height, diameter = (number(told.get(f"Area/{key}")) for key in "xywhd")
    if x is None or y is None:
        return None
    if told.get("Area/unit", "normalized").lower().startswith("pixel"):
        # Outside the guidelines, which know shares alone, but plain enough.
        if applied is None:
            return None
        x, width = x / applied[0], (width or 0) / applied[0]
        y, height = y / applied[1], (height or 0) / applied[1]
        diameter = (diameter or 0) / min(applied)
    usage = told.get("FocusUsage", "")
    used = False if usage in _UNUSED else True if usage == "EvaluatedUsed" else None
    return Region(told.get("Type", ""), x, y, width or 0.0, height or 0.0, diameter or 0.0, used)
