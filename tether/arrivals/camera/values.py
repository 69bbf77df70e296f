"""What a camera's words for its settings mean."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from tether.arrivals.camera.messages import Store
from tether.arrivals.camera.widgets import EXPOSURE_TIME, FOCUS_DISTANCE, NAMES
from tether.model import CameraSettings, FocusMode
from tether.plain import plain

Told = Mapping[str, str | float]

_NUMBER = r"(\d+(?:\.\d+)?)"
_FOREVER = 0xFFFF  # the standard's FocusDistance for infinity
_LONGEST_S = 3600.0

_MODES = (
    # Makers' words; the standard's own "Automatic" does not tell single from continuous.
    (FocusMode.AUTOMATIC, re.compile(r"af-?a\b|ai focus|automatic af|auto-servo", re.IGNORECASE)),
    (FocusMode.CONTINUOUS, re.compile(r"af-?[cf]\b|\bc-af|servo|continuous", re.IGNORECASE)),
    (FocusMode.SINGLE, re.compile(r"af-?s\b|\bs-af|one.?shot|single|\bdmf\b", re.IGNORECASE)),
    (FocusMode.MANUAL, re.compile(r"manual|\bmf\b", re.IGNORECASE)),
)
_SINGLE_SERVO = re.compile(r"single.?servo", re.IGNORECASE)
_PRIME = re.compile(rf"(?<![\d.\-–]){_NUMBER}\s?mm", re.IGNORECASE)


def settings(told: Told, store: Store | None = None) -> CameraSettings:
    """Put together what a camera tells of itself; whatever makes no sense counts as not told."""
    battery, mode = _text(told, "battery"), _text(told, "focus mode")
    shutter, lens = _text(told, "shutter"), _text(told, "lens")
    return CameraSettings(
        battery_pct=percent(battery),
        battery_said=_words(battery),
        clock=_clock(told),
        free_bytes=store.free_bytes if store else None,
        free_frames=store.free_frames if store else None,
        file_format=_words(_text(told, "file format")),
        focus_mode=focus_mode(mode),
        focus_mode_said=_words(mode),
        focus_area=_words(_text(told, "focus area")),
        stabilised=on_or_off(_text(told, "stabiliser")),
        shutter_s=shutter_s(shutter) if shutter else _exposure_time_s(told),
        shutter_said=shutter,
        f_number=f_number(_text(told, "f-number")),
        iso=_iso(_text(told, "iso")),
        focal_length_mm=_length(_text(told, "focal length")) or prime_mm(lens),
        focus_distance_m=distance_m(told.get(FOCUS_DISTANCE)),
        lens=lens or None,
    )


def shutter_s(text: str) -> float | None:
    """The time in s of "1/125", "0.0080s", "1.3", `0"5`, "x 200"; None for bulb and the like."""
    text = text.strip().lower()
    if found := re.fullmatch(rf"{_NUMBER}\s?/\s?{_NUMBER}\s?s?(?:ec)?", text):
        above, below = float(found[1]), float(found[2])
        seconds = above / below if below else 0.0
    elif found := re.fullmatch(r"(\d+)[\"'](\d*)", text):
        seconds = float(f"{found[1]}.{found[2] or 0}")
    elif found := re.fullmatch(rf"{_NUMBER}\s?(?:s|sec|\")?", text):
        seconds = float(found[1])
    else:
        return None
    return seconds if 0 < seconds <= _LONGEST_S else None


def f_number(text: str) -> float | None:
    """The f-number of "f/2.8", "F2.8", "2.8"."""
    found = re.fullmatch(rf"(?:f\s?/?\s?)?{_NUMBER}", text.strip().lower())
    value = float(found[1]) if found else 0.0
    return value if 0.5 <= value <= 128 else None


def percent(text: str) -> float | None:
    """The charge of "80%", "80"; None for words."""
    found = re.fullmatch(rf"{_NUMBER}\s?%?", text.strip())
    return float(found[1]) if found and float(found[1]) <= 100 else None


def focus_mode(text: str) -> FocusMode | None:
    """Who focuses; None where the word does not tell."""
    if _SINGLE_SERVO.search(text):
        return FocusMode.SINGLE
    return next((mode for mode, word in _MODES if word.search(text)), None)


def on_or_off(text: str) -> bool | None:
    """Whether a switch is on."""
    said = text.strip().lower()
    return True if said.startswith("on") else False if said.startswith("off") else None


def distance_m(raw: str | float | None) -> float | None:
    """FocusDistance of ISO 15740 (mm; all ones for infinity) in m; None for none."""
    try:
        millimetres = float(raw) if raw is not None else 0.0
    except ValueError:
        return None
    if millimetres >= _FOREVER:
        return math.inf
    return millimetres / 1000 if millimetres > 0 else None


def prime_mm(lens: str) -> float | None:
    """The focal length in a lens's name, unless it is a zoom's."""
    found = _PRIME.findall(lens)
    zoom = re.search(r"\d\s?(?:mm)?\s?[-–]\s?\d+(?:\.\d+)?\s?mm", lens, re.IGNORECASE)
    return _length(found[0]) if len(found) == 1 and not zoom else None


def _text(told: Told, key: str) -> str:
    for name in NAMES[key]:
        if name in told and str(told[name]).strip():
            return plain(str(told[name])).strip()
    return ""


def _words(text: str) -> str:
    """The camera's words, unless they are the library's for a number that it cannot name."""
    return "" if text.lower().startswith("unknown value") or text.isdigit() else text


def _exposure_time_s(told: Told) -> float | None:
    """ExposureTime of ISO 15740, in ten-thousandths of a second."""
    try:
        seconds = float(told.get(EXPOSURE_TIME, 0)) / 10_000
    except ValueError:
        return None
    return seconds if 0 < seconds <= _LONGEST_S else None


def _length(text: str) -> float | None:
    try:
        millimetres = float(text.lower().removesuffix("mm"))
    except ValueError:
        return None
    return millimetres if 1 <= millimetres <= 5000 else None


def _iso(text: str) -> int | None:
    return int(text) if text.isdigit() and 1 <= int(text) < 10_000_000 else None


def _clock(told: Told) -> float | None:
    for name in NAMES["clock"]:
        value = told.get(name)
        if isinstance(value, int | float) and value > 0:
            return float(value)
    return None
