"""What goes over the pipes to a process of ours and back: lengths, then bytes."""

from __future__ import annotations

import json
import struct
from dataclasses import asdict, dataclass
from io import RawIOBase

from tether.frame.same_file import Proof
from tether.frame.sidecar import Sidecar

_LENGTH = struct.Struct(">Q")
# An answer is a few kilobytes; a reader gone wrong may promise anything.
LARGEST_ANSWER = 4_000_000


@dataclass(frozen=True, slots=True)
class Request:
    """A picture's bytes, or the part with the metadata, its name and size (px), its sidecar.

    `full` is the size that the metadata is written for where that is another. With `file` the
    bytes stay where they are, in the file, and `data` is not sent.
    """

    data: bytes | bytearray
    picture: str
    width: int
    height: int
    sidecar: Sidecar | None = None
    full: tuple[int, int] | None = None
    file: Proof | None = None


def send(pipe: RawIOBase, *parts: bytes | bytearray | memoryview) -> None:
    """Write parts, each with its length."""
    for part in parts:
        _write(pipe, _LENGTH.pack(len(part)))
        _write(pipe, part)


def receive(pipe: RawIOBase, most: int | None = None) -> bytearray:
    """Read one part.

    Raises
    ------
    EOFError
        The other end is gone, or the part is longer than `most`.
    """
    (length,) = _LENGTH.unpack(_read(pipe, _LENGTH.size))
    if most is not None and length > most:
        raise EOFError
    return _read(pipe, length)


def send_request(pipe: RawIOBase, request: Request) -> None:
    """Write a request."""
    sidecar = request.sidecar
    head = {
        "picture": request.picture,
        "size": [request.width, request.height],
        "full": request.full,
        "file": asdict(request.file) if request.file else None,
        "sidecar": [sidecar.name, sidecar.refused] if sidecar else None,
    }
    data = b"" if request.file else request.data
    send(pipe, json.dumps(head).encode(), data, sidecar.data if sidecar else b"")


def receive_request(pipe: RawIOBase) -> Request:
    """Read a request; errors as in `receive`."""
    head = json.loads(receive(pipe))
    data, beside = receive(pipe), receive(pipe)
    told = head["sidecar"]
    sidecar = Sidecar(told[0], beside, told[1]) if told else None
    width, height = head["size"]
    full = tuple(head["full"]) if head["full"] else None
    file = Proof(**head["file"]) if head["file"] else None
    return Request(data, head["picture"], width, height, sidecar, full, file)


def receive_answer(pipe: RawIOBase) -> bytearray:
    """Read a metadata reader's answer; errors as in `receive`."""
    return receive(pipe, LARGEST_ANSWER)


def _write(pipe: RawIOBase, data: bytes | bytearray | memoryview) -> None:
    rest = memoryview(data)
    while rest:
        rest = rest[pipe.write(rest) or 0 :]


def _read(pipe: RawIOBase, length: int) -> bytearray:
    # In place: a large file is there once, and goes back to the system whole.
    found = bytearray(length)
    rest = memoryview(found)
    while rest:
        count = pipe.readinto(rest)
        if not count:
            raise EOFError
        rest = rest[count:]
    return found
