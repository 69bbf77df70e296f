"""Focus points as ExifTool decodes them: the other reader, coded apart from the program's own."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

# Centre, then size, in fractions of the frame; size 0 where the maker names a point only.
Place = tuple[float, float, float, float]

_TAGS = (
    *("-Make", "-Model", "-ExifImageWidth", "-ExifImageHeight", "-AF*", "-*Focus*"),
    *("-FlexibleSpot*", "-ContrastDetect*", "-Primary*", "-Valid*", "-FocalPlaneAF*"),
)


@dataclass(frozen=True, slots=True)
class Reading:
    """What ExifTool says of one file: the maker, the size as recorded in px, and the places."""

    make: str
    model: str
    recorded: tuple[int, int] | None
    frame: tuple[float, float] | None
    places: tuple[Place, ...]


def version() -> str | None:
    """ExifTool's version, None where it is not installed."""
    if shutil.which("exiftool") is None:
        return None
    done = subprocess.run(["exiftool", "-ver"], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def read(paths: Sequence[Path]) -> dict[Path, Reading]:
    """Read files in one call; those that it cannot read are left out."""
    done = subprocess.run(
        ["exiftool", "-q", "-q", "-j", "-n", *_TAGS, "-@", "-"],
        input="\n".join(str(path) for path in paths), capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    told: list[dict[str, Any]] = json.loads(done.stdout or "[]")
    return {Path(one["SourceFile"]): _reading(one) for one in told}


def _reading(told: dict[str, Any]) -> Reading:
    make = str(told.get("Make", "")).split(" ")[0].lower()
    size = told.get("ExifImageWidth"), told.get("ExifImageHeight")
    frame, places = _MAKERS.get(make, _no_maker)(told)
    if frame is None and places and all(size):
        frame = float(size[0] or 1), float(size[1] or 1)
    across, down = frame or (1, 1)
    return Reading(
        make,
        str(told.get("Model", "")).strip(),
        (int(size[0]), int(size[1])) if size[0] and size[1] else None,
        frame,
        tuple((x / across, y / down, w / across, h / down) for x, y, w, h in places),
    )


Found = tuple[tuple[float, float] | None, list[Place]]
_NOTHING: Found = (None, [])


def _no_maker(told: dict[str, Any]) -> Found:
    return _NOTHING


def _numbers(value: object) -> list[float]:
    """A value of one number or of several with blanks between."""
    try:
        return [float(one) for one in str(value).split()] if value is not None else []
    except ValueError:
        return []


def _bits(value: object) -> set[int]:
    """Numbers of the bits that are set in words of 16, printed with a sign or without."""
    return {
        16 * n + bit
        for n, word in enumerate(_numbers(value))
        for bit in range(16)
        if int(word) & 1 << bit
    }


def _canon(told: dict[str, Any]) -> Found:
    xs, ys = _numbers(told.get("AFAreaXPositions")), _numbers(told.get("AFAreaYPositions"))
    if told.get("AFAreaMode") == 0 or told.get("FocusMode") in {3, 6} or not xs:
        return _NOTHING
    eos = "EOS" in told["Model"]
    wide, high = told["AFImageWidth"], told["AFImageHeight"]
    widths = _numbers(told.get("AFAreaWidths")) or [told["AFAreaWidth"]] * len(xs)
    heights = _numbers(told.get("AFAreaHeights")) or [told["AFAreaHeight"]] * len(xs)
    valid = set(range(int(told["ValidAFPoints"])))
    used = _bits(told.get("AFPointsInFocus")) & valid
    if not used and eos:
        used = _bits(told.get("AFPointsSelected")) & valid
    if not used and not eos and told.get("PrimaryAFPoint") is not None:
        used = {int(told["PrimaryAFPoint"])} & valid
    if not used and len(valid) == 1:
        used = {0}
    places = [
        (wide / 2 + xs[n], high / 2 - ys[n] if eos else high / 2 + ys[n], widths[n], heights[n])
        for n in sorted(used)
    ]
    return (wide, high), places


def _nikon(told: dict[str, Any]) -> Found:
    if str(told.get("FocusMode", "")).strip().upper() == "MANUAL":
        return _NOTHING
    if told.get("AFAreaXPosition") and told.get("AFImageWidth"):
        size = told.get("AFAreaWidth", 0), told.get("AFAreaHeight", 0)
        place = told["AFAreaXPosition"], told["AFAreaYPosition"], *size
        return (told["AFImageWidth"], told["AFImageHeight"]), [place]
    number = told.get("PrimaryAFPoint")
    first_kind = "AFInfo2Version" not in told and told.get("AFPointsInFocus") == 1
    return ((1, 1), [(0.5, 0.5, 0, 0)]) if number == 1 or first_kind else _NOTHING


def _sony(told: dict[str, Any]) -> Found:
    if told.get("FocusMode") == 0 and not told["Model"].startswith("DSC"):
        return _NOTHING
    mode = told.get("AFAreaModeSetting")
    location = _numbers(told.get("FocusLocation"))
    box = _numbers(told.get("FocusFrameSize"))
    if len(location) == 4 and any(location):
        wide, high, x, y = location
        sized = len(box) == 3 and box[2] != 0
        # The middle without a size is what is written when nothing is known.
        if sized or mode in {1, 9} or [x, y] != [wide // 2, high // 2]:
            return (wide, high), [(x, y, box[0] if sized else 0, box[1] if sized else 0)]
    spot = _numbers(told.get("FlexibleSpotPosition"))
    if mode == 3 and any(spot):
        return (640, 480), [(spot[0], spot[1], 0, 0)]
    area = _numbers(told.get("FocalPlaneAFPointArea"))
    keys = [key for key in told if key.startswith("FocalPlaneAFPointLocation")]
    points = [_numbers(told[key]) for key in keys]
    return ((area[0], area[1]), [(x, y, 0, 0) for x, y in points]) if points else _NOTHING


def _fujifilm(told: dict[str, Any]) -> Found:
    point = _numbers(told.get("FocusPixel"))
    if told.get("FocusMode") == 1 or not any(point):
        return _NOTHING
    return None, [(point[0], point[1], 0, 0)]


def _panasonic(told: dict[str, Any]) -> Found:
    point = _numbers(told.get("AFPointPosition"))
    if told.get("FocusMode") == 2 or not any(point) or max(point) > 1:
        return _NOTHING
    return (1, 1), [(point[0], point[1], 0, 0)]


def _olympus(told: dict[str, Any]) -> Found:
    corners = _numbers(told.get("AFPointSelected"))
    areas = [int(one) for one in _numbers(told.get("AFAreas")) if one]
    if str(told.get("FocusMode", "")).split(" ")[0] == "10":
        return _NOTHING
    boxes = [[(one >> shift & 255) / 255 for shift in (24, 16, 8, 0)] for one in areas]
    sizes = [(right - left, bottom - top) for left, top, right, bottom in boxes]
    if len(corners) == 4 and any(corners):
        wide, high = corners[2] - corners[0], corners[3] - corners[1]
        if sizes and not (wide and high):
            wide, high = sizes[0]
        middle = (corners[0] + corners[2]) / 2, (corners[1] + corners[3]) / 2
        return (1, 1), [(*middle, wide, high)]
    return (1, 1), [
        ((left + right) / 2, (top + bottom) / 2, *size)
        for (left, top, right, bottom), size in zip(boxes, sizes, strict=True)
    ]


def _pentax(told: dict[str, Any]) -> Found:
    area = _numbers(told.get("ContrastDetectAFArea"))
    if told.get("AFAreaXPosition") and told.get("AFAreaYPosition"):
        return None, [(told["AFAreaXPosition"], told["AFAreaYPosition"], 0, 0)]
    if told.get("FocusMode") == 3 or len(area) != 4 or not area[2] or not area[3]:
        return _NOTHING
    left, top, wide, high = area
    return (720, 480), [(left + wide / 2, top + high / 2, wide, high)]


def _casio(told: dict[str, Any]) -> Found:
    place = _numbers(told.get("AFPointPosition"))
    if len(place) != 4 or 65535 in place or told.get("FocusMode") == 0:
        return _NOTHING
    x, wide, y, high = place
    return (wide, high), [(x, y, 0, 0)]


_MAKERS: dict[str, Callable[[dict[str, Any]], Found]] = {
    "canon": _canon,
    "nikon": _nikon,
    "sony": _sony,
    "fujifilm": _fujifilm,
    "panasonic": _panasonic,
    "leica": _panasonic,
    "olympus": _olympus,
    "om": _olympus,
    "pentax": _pentax,
    "ricoh": _pentax,
    "casio": _casio,
}
