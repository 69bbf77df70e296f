"""When a picture was taken, as its metadata says and as ExifTool reads the same files."""

from __future__ import annotations

import json
import subprocess
from datetime import UTC, datetime

import pytest

from tests.pictures import grey, jpeg
from tests.samples import HOW, exiftool, files, folder
from tether.frame import tags

KEY = "Exif.Photo.DateTimeOriginal"
BELOW = "Exif.Photo.SubSecTimeOriginal"
WHEN = datetime(2026, 3, 14, 10, 0, 7, tzinfo=UTC).timestamp()


def read(exif: dict[str, str]) -> float | None:
    return tags.read(jpeg(grey(8), exif), 64, 64).taken_s


@pytest.mark.parametrize(
    ("below", "more"), [(None, 0.0), ("25", 0.25), ("007", 0.007), ("0", 0.0), ("no", 0.0)]
)
def test_the_digits_below_the_second_count(below: str | None, more: float) -> None:
    # CIPA DC-008: the sub-seconds are the digits behind the point.
    exif = {KEY: "2026:03:14 10:00:07"} | ({BELOW: below} if below is not None else {})
    assert read(exif) == pytest.approx(WHEN + more)


@pytest.mark.parametrize(
    "said", ["    :  :     :  :  ", "0000:00:00 00:00:00", "2026:02:30 10:00:00", "yesterday"]
)
def test_a_clock_that_was_not_set_tells_nothing(said: str) -> None:
    assert read({KEY: said}) is None
    assert read({}) is None


def test_real_files_tell_the_same_time_as_to_exiftool() -> None:
    if exiftool.version() is None:
        pytest.skip("ExifTool is not installed (Debian: libimage-exiftool-perl)")
    within = folder()
    if within is None:
        pytest.skip(HOW)
    asked = ["exiftool", "-q", "-q", "-j", "-EXIF:DateTimeOriginal", "-EXIF:SubSecTimeOriginal"]
    done = subprocess.run(
        [*asked, "-@", "-"],
        input="\n".join(map(str, files(within))),
        capture_output=True,
        text=True,
    )
    compared = 0
    for told in json.loads(done.stdout):
        theirs = str(told.get("DateTimeOriginal", ""))
        try:
            when = datetime.strptime(theirs, "%Y:%m:%d %H:%M:%S").replace(tzinfo=UTC).timestamp()
        except ValueError:
            continue
        below = str(told.get("SubSecTimeOriginal", "")).strip()
        when += float(f"0.{below}") if below.isdigit() else 0.0
        ours = tags.read(told["SourceFile"], 100, 100).taken_s
        if ours is None:
            continue  # a container that exiv2 does not open
        compared += 1
        assert ours == pytest.approx(when), told["SourceFile"]
    assert compared >= 50
