"""A picture's file, of whatever kind, to its luma."""

from __future__ import annotations

from pathlib import Path

from tether.frame import pixels, processes
from tether.frame.decoded import Decoded
from tether.frame.file import Unreadable
from tether.frame.signature import Kind, kind_of


def decode(data: bytes, path: Path) -> Decoded:
    """Decode a picture.

    Parameters
    ----------
    data
        The file's bytes.
    path
        The file. Its name decides where the bytes do not tell.

    Raises
    ------
    Unreadable
        Of no kind that is read, damaged or cut short, or of a size that cannot be judged.
    guarded.Closed
        The program ends.
    """
    kind = kind_of(data, path.name)
    if kind is None:
        raise Unreadable("not a JPEG, PNG, TIFF, raw or HEIF picture, whatever its name says")
    if kind is Kind.PLAIN:
        return Decoded(pixels.luma(data))
    return processes.DECODER.decode(kind.value, data, path)
