"""What the camera library calls each setting, the surest name first.

Words are the library's, for properties of ISO 15740 and for the makers' own; four hexadecimal
digits are a property of ISO 15740 by its code, coded as the standard has it.
"""

from __future__ import annotations

NAMES: dict[str, tuple[str, ...]] = {
    "battery": ("batterylevel",),
    "clock": ("datetimeutc", "datetime"),
    "file format": ("imageformat", "imagequality", "imagequality2", "jpegquality"),
    "focus mode": ("focusmode", "focusmode2", "autofocusmode2"),
    "focus area": ("focusmetermode", "autofocusarea", "focusarea", "liveviewafmode", "afmethod"),
    "stabiliser": ("imagestabilization",),
    "shutter": ("shutterspeed", "shutterspeed2"),
    "f-number": ("f-number", "aperture", "aperture2"),
    "iso": ("iso",),
    "focal length": ("focallength",),
    "lens": ("lensname",),
}

EXPOSURE_TIME = "500d"
FOCUS_DISTANCE = "5009"

ALL = frozenset(name for names in NAMES.values() for name in names) | {
    EXPOSURE_TIME,
    FOCUS_DISTANCE,
}
"""Every name."""

SOFTENING = ALL - {name for key in ("battery", "clock", "file format") for name in NAMES[key]}
"""Names of all settings that can make the next frame soft."""
