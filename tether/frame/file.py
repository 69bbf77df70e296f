"""A picture's file, read whole and only read: every way it can refuse has its sentence."""

from __future__ import annotations

import errno
import os
import stat
from dataclasses import dataclass
from pathlib import Path

import xxhash

# Above any camera's file (a 150-megapixel raw is near 300 MB); below what fills a laptop's memory.
LARGEST_BYTES = 1_000_000_000
GONE = "not there, or gone before it could be read"
_AT_A_TIME = 1 << 20


class Unreadable(Exception):
    """A file that yields no picture; the message says why, without the file's name."""


class Changing(Unreadable):
    """A file that became another while it was read; somebody is still writing it."""


@dataclass(frozen=True, slots=True)
class FileIdentity:
    """What the system tells a file's state from another by: device, inode, size, time of change.

    Size in bytes, time in ns since 1970. Each is a signed number of 64 bits, which is what SQLite
    holds: an inode or a time past that (a file dated after 2262) comes out negative.
    """

    device: int
    inode: int
    size: int
    mtime_ns: int

    def same_as(self, other: FileIdentity) -> bool:
        """Whether the two tell of one file in one state.

        The device does not count, since it is another after each mount; nor does an inode of 0: of
        a link, or of a file system that has none. A size of -1 is not known.
        """
        if -1 in (self.size, other.size):
            return True
        changed = (self.size, self.mtime_ns) != (other.size, other.mtime_ns)
        return not changed and not self.other_inode(other)

    def other_inode(self, other: FileIdentity) -> bool:
        """Whether both have an inode, and not the same."""
        return bool(self.inode and other.inode) and self.inode != other.inode


class Missing(Unreadable):
    """No file is there."""


class Another(Unreadable):
    """Not the file that was asked for, but one that has its place now."""


@dataclass(frozen=True, slots=True)
class Content:
    """A file's bytes, and what it was while they were read."""

    data: bytes
    identity: FileIdentity

    @property
    def size(self) -> int:
        """Bytes."""
        return self.identity.size

    @property
    def mtime_ns(self) -> int:
        """Time of change, as in `FileIdentity`."""
        return self.identity.mtime_ns


def identity(told: os.stat_result, *, linked: bool = False) -> FileIdentity:
    """Tell a file's state from what `os.stat` and its kin say of it.

    Of what a symbolic link leads to the inode is 0: it is no property of what lies at the link.
    """
    # Wrapped round rather than held at the end: two that differ stay two that differ.
    inode = 0 if linked else told.st_ino
    return FileIdentity(*map(_signed, (told.st_dev, inode, told.st_size, told.st_mtime_ns)))


def _signed(number: int) -> int:
    return (number + (1 << 63)) % (1 << 64) - (1 << 63)


def read(
    path: Path,
    within: Path | None = None,
    most: int = LARGEST_BYTES,
    wanted: FileIdentity | None = None,
) -> Content:
    """Read a picture's file.

    Parameters
    ----------
    path
        The file.
    within
        A folder that a link may not lead out of; None follows any link.
    most
        The largest file that is read, bytes.
    wanted
        The file that ought to be there; None takes any.

    Raises
    ------
    Unreadable
        The file is missing, not allowed, not a plain file, empty, too large, or leads outside.
    Another
        It is not the one that was wanted.
    Changing
        It is being written: what was read may be of two minds.
    """
    try:
        if within is not None and not _inside(path, within):
            raise Unreadable("a link that leads out of the folder: not followed")
        # Without O_NONBLOCK a pipe by a picture's name would hold the reader for ever.
        number = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with open(number, "rb", buffering=0) as file:  # noqa: PTH123 - a descriptor, not a path
            told = os.fstat(number)
            if not stat.S_ISREG(told.st_mode):
                raise Unreadable("not a plain file")
            if wanted is not None and not wanted.same_as(identity(told)):
                raise Another("another file has its place")
            if told.st_size == 0:
                raise Unreadable("the file is empty")
            if told.st_size > most:
                raise Unreadable(f"{told.st_size / 1e6:.0f} MB is too large")
            data, found = file.readall() or b"", identity(told)
            if len(data) != found.size or identity(os.fstat(number)) != found:
                raise Changing("it changed while it was read: it is still being written")
            return Content(data, found)
    except FileNotFoundError as problem:
        raise Missing(GONE) from problem
    except OSError as problem:
        raise Unreadable(_sentence(problem)) from problem


def digest(data: bytes | bytearray) -> bytes:
    """Sixteen bytes that change when any byte does: XXH3 of 128 bits.

    It tells changes, not forgeries, at the speed of memory: a raw of 50 MB costs 5 ms, a tenth of
    reading it. SHA-256, where the processor does it in hardware, takes seven times as long.
    """
    return xxhash.xxh3_128_digest(data)


def digest_of_open(number: int) -> bytes:
    """The same of a whole file that is open by this descriptor."""
    # Read and not mapped: what is mapped kills its reader when somebody cuts the file short.
    total, at = xxhash.xxh3_128(), 0
    while part := os.pread(number, _AT_A_TIME, at):
        total.update(part)
        at += len(part)
    return total.digest()


def _inside(path: Path, folder: Path) -> bool:
    return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))


def _sentence(problem: OSError) -> str:
    return {
        errno.EACCES: "no permission to read it",
        errno.EPERM: "no permission to read it",
        errno.ELOOP: "a link that leads round in a circle",
        errno.EISDIR: "a folder, not a file",
        errno.ENXIO: "not a plain file",
        errno.ESTALE: "the folder went away while it was read",
        errno.EIO: "the disk or card failed while it was read",
    }.get(problem.errno or 0, problem.strerror or str(problem))
