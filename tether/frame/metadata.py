"""A picture's metadata, from its file and the sidecar beside it, read behind the fence."""

from __future__ import annotations

from pathlib import Path

from tether.frame import processes, sidecar
from tether.frame.header import header
from tether.frame.same_file import proof
from tether.frame.tags import Tags
from tether.frame.wire import Request

_LARGEST_SENT = 4_000_000  # from here on the reader had better read it by itself


def read(
    data: bytes, path: Path, width: int, height: int, full: tuple[int, int] | None = None
) -> Tags:
    """Read what the metadata says of a picture.

    Parameters
    ----------
    data
        The file's bytes.
    path
        The file; a sidecar is looked for beside it.
    width, height
        Of the picture as stored, px.
    full
        The size that the metadata is written for where it does not say, px; None for the same.
    """
    held = header(data)
    file = proof(data, path) if len(held) > _LARGEST_SENT else None
    beside = sidecar.find(path)
    return processes.FENCE.read(Request(held, path.name, width, height, beside, full, file))


def get_ready() -> None:
    """Start the reader's process, so that the first frame need not wait for it."""
    processes.begin()
