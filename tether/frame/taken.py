"""When a picture was taken, by the camera's own clock."""

from __future__ import annotations

import re
from datetime import UTC, datetime

from tether.frame.exif import Exif


def taken_s(exif: Exif) -> float | None:
    """Exif DateTimeOriginal with its SubSecTimeOriginal, in s since 1970 of the clock's own zone.

    CIPA DC-008: `YYYY:MM:DD HH:MM:SS`, blanks where it is not known; the sub-seconds are the
    digits behind the point. The zone is left aside: times are compared with each other alone.
    """
    said = exif.text("Exif.Photo.DateTimeOriginal") or ""
    try:
        when = datetime.strptime(said, "%Y:%m:%d %H:%M:%S").replace(tzinfo=UTC)
    except ValueError:
        return None
    digits = exif.text("Exif.Photo.SubSecTimeOriginal") or ""
    part = float(f"0.{digits}") if re.fullmatch(r"[0-9]{1,9}", digits) else 0.0
    return when.timestamp() + part
