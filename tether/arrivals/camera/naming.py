"""What a file from the camera is called here, whatever the camera calls it."""

from __future__ import annotations

import hashlib
import os
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from tether.arrivals.camera.messages import OnCard

_LONGEST = 200
_PREFIX, _SUFFIX = ".tether-camera-", ".part"


def safe(name: str) -> str:
    """Return a name for one file in one folder: no path, no control character, nothing hidden.

    Parameters
    ----------
    name
        As the camera gives it, which may be anything.
    """
    last = name.replace("\\", "/").rstrip("/").rpartition("/")[2]
    shown = "".join("_" if unicodedata.category(c)[0] == "C" or c in ':*?"<>|' else c for c in last)
    shown = shown.lstrip(".").strip()
    while len(os.fsencode(shown)) > _LONGEST:
        stem, dot, suffix = shown.rpartition(".")
        shown = f"{stem[:-1]}{dot}{suffix}" if stem and len(suffix) < 20 else shown[:-1]
    return shown or "unnamed"


def part(folder: Path, camera: str, file: OnCard) -> Path:
    """Return where a file stands until it is whole: the same place whenever it is tried again."""
    told = repr((camera, *file)).encode("utf-8", "surrogatepass")
    return folder / f"{_PREFIX}{hashlib.sha256(told).hexdigest()[:24]}{_SUFFIX}"


def parts(folder: Path) -> list[Path]:
    """Return what earlier transfers left there."""
    return sorted(folder.glob(f"{_PREFIX}*{_SUFFIX}"))


def stems(stem: str) -> Iterator[str]:
    """Yield a name's stem, and then it with a number behind it, without end."""
    yield stem
    number = 2
    while True:
        yield f"{stem}-{number}"
        number += 1


def place(whole: Path, final: Path) -> None:
    """Give a file its final name, if nothing has that name; at no instant is any of it half.

    Raises
    ------
    FileExistsError
        Something has that name.
    OSError
        The folder is gone, or cannot be written.
    """
    try:
        os.link(whole, final)
    except FileExistsError:
        raise
    except OSError:
        if not whole.exists() or not final.parent.is_dir():
            raise
        # A file system without links, as on cards: hold the name, then take it over.
        os.close(os.open(final, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        os.replace(whole, final)  # noqa: PTH105
        return
    whole.unlink()
    # A link is not announced as a finished file; closing it after opening it to write is.
    os.close(os.open(final, os.O_WRONLY))
