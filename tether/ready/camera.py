"""The camera's own state: power, room, clock, file format, and where it focuses."""

from __future__ import annotations

import re

from tether.model import CameraSettings
from tether.ready.room import room
from tether.verdict.checked import NOT_TOLD, Check, State

BATTERY, CARD, CLOCK = "battery", "card", "clock"
FILE_FORMAT, FOCUS_AREA = "file format", "focus area"

_BATTERY_LOW, _BATTERY_HALF = 20, 50  # %: common practice, no source
_CLOCK_S = 60.0  # the camera tells whole seconds, some of them whole minutes
_QUARTER_S = 900.0  # clocks of two time zones lie whole quarters of an hour apart

_RAW = re.compile(r"raw|nef|nrw|cr[23w]\b|arw|raf|orf|rw2|dng|pef", re.IGNORECASE)
_HEIF = re.compile(r"hei[fc]|\bhif\b", re.IGNORECASE)
_JPEG = re.compile(r"jpe?g|fine|normal|basic|standard|large|medium|small|tiff|\bc?[lms]\d?\b", re.I)
_POINT = re.compile(r"spot|single|pinpoint|normal-area|\b1.?(?:p|area)", re.IGNORECASE)
_WIDE = re.compile(r"multi|wide|auto|zone|face|track|lock-on|dynamic|group|3d", re.IGNORECASE)


def battery(camera: CameraSettings) -> Check:
    """Whether it lasts."""
    why = "a camera that goes off in mid-shoot loses the focus that was set"
    charge, change = camera.battery_pct, "put in a full battery, or mains power"
    if charge is None:
        return Check(BATTERY, State.UNTOLD, camera.battery_said or NOT_TOLD, why)
    state = (
        State.WRONG
        if charge < _BATTERY_LOW
        else State.LOOK
        if charge < _BATTERY_HALF
        else State.GOOD
    )
    return Check(BATTERY, state, f"{charge:.0f} %", why, "" if state is State.GOOD else change)


def card(camera: CameraSettings, frame_bytes: float) -> Check:
    """For how many frames there is room on the cards, by the camera's count if it has one."""
    why = "a full card stops the camera"
    free, frames = camera.free_bytes, camera.free_frames
    if free is None and not frames:
        return Check(CARD, State.UNTOLD, NOT_TOLD, why)
    change = "put in an empty card"
    if frames:
        return room(CARD, frames, free, None, why, change)
    return room(CARD, int((free or 0) / frame_bytes), free, frame_bytes, why, change)


def clock(camera: CameraSettings, now: float) -> Check:
    """Whether its clock agrees with this computer's, `now` in s since 1970."""
    why = "frames of two cameras are put in order by their clocks"
    if camera.clock is None:
        return Check(CLOCK, State.UNTOLD, NOT_TOLD, why)
    off = camera.clock - now
    if abs(off) <= _CLOCK_S:
        return Check(CLOCK, State.GOOD, "agrees with this computer's", why)
    zone = abs(off - _QUARTER_S * round(off / _QUARTER_S)) <= _CLOCK_S
    change = "set its time zone or summer time" if zone else "set its clock"
    found = f"{_span(abs(off))} {'ahead' if off > 0 else 'behind'}"
    return Check(CLOCK, State.LOOK, found, why, change)


def file_format(camera: CameraSettings) -> Check:
    """Whether there will be a JPEG, or a TIFF, to judge."""
    said = camera.file_format
    why = "a JPEG is judged at once; a raw or HEIF file alone later, or not at all"
    kinds = {_kind(part) for part in re.split("[+&]", said)} if said else set()
    if not kinds or kinds == {""}:
        return Check(FILE_FORMAT, State.UNTOLD, said or NOT_TOLD, why)
    if "JPEG" in kinds:
        return Check(FILE_FORMAT, State.GOOD, said, why)
    return Check(FILE_FORMAT, State.WRONG, said, why, "add a JPEG beside it")


def focus_area(camera: CameraSettings) -> Check:
    """Whether one point focuses, and not whatever is nearest."""
    said = camera.focus_area
    why = "of many points the camera takes the nearest thing, which is seldom the eye"
    if _WIDE.search(said) and not re.search(r"flexible spot", said, re.IGNORECASE):
        found, change = said, "set one point, and put it where it must be sharp"
        return Check(FOCUS_AREA, State.LOOK, found, why, change)
    if _POINT.search(said) or re.search(r"cent(?:er|re)", said, re.IGNORECASE):
        return Check(FOCUS_AREA, State.GOOD, said, why)
    return Check(FOCUS_AREA, State.UNTOLD, said or NOT_TOLD, why)


def _kind(said: str) -> str:
    for kind, words in (("raw", _RAW), ("HEIF", _HEIF), ("JPEG", _JPEG)):
        if words.search(said):
            return kind
    return ""


def _span(seconds: float) -> str:
    if seconds < 120:
        return f"{seconds:.0f} s"
    if seconds < 3600 - _CLOCK_S:
        return f"{seconds / 60:.0f} min"
    return f"{seconds / 3600:.3g} h" if seconds < 172_800 else f"{seconds / 86_400:.0f} days"
