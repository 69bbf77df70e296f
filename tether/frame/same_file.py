"""A file handed to another process by its path, with proof that it is still the one that was read.

A raw has tens of megabytes, of which a reader wants a few: passing them all through a pipe would
take longer than reading them.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tether.frame.file import digest, digest_of_open, identity


class Changed(Exception):
    """What stands there now is another file, or none."""


@dataclass(frozen=True, slots=True)
class Proof:
    """Where a file lies, and what tells it from another: its size, and the digest of its bytes."""

    path: str
    size: int
    digest: str


def proof(data: bytes, path: Path) -> Proof:
    """Prove that these bytes were read from this path."""
    return Proof(os.path.abspath(path), len(data), digest(data).hex())  # noqa: PTH100


@contextmanager
def same(told: Proof) -> Iterator[str]:
    """Open a file if it is the one that was read, and yield a name to read it by.

    Where the system lets the open file be named, the name is that one's: it stays the same file,
    whatever is renamed meanwhile.

    Raises
    ------
    Changed
        It is another, or became another while it was open: what was read then counts for nothing.
    """
    try:
        # As in `file.read`: a pipe by that name would hold us for ever.
        number = os.open(told.path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except (OSError, ValueError) as problem:
        raise Changed from problem
    try:
        now = os.fstat(number)
        found = identity(now)
        if not stat.S_ISREG(now.st_mode) or found.size != told.size or not told.size:
            raise Changed
        try:
            _check(number, told)
            name = f"/dev/fd/{number}"
            yield name if Path(name).exists() else told.path
        finally:
            if identity(os.fstat(number)) != found:
                raise Changed
    finally:
        os.close(number)


def _check(number: int, told: Proof) -> None:
    try:
        if digest_of_open(number).hex() != told.digest:
            raise Changed
    except OSError as problem:
        raise Changed from problem
