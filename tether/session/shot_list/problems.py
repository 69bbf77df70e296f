"""What is wrong with a shot list, gathered, so that it can be put right in one go."""

from __future__ import annotations

from pathlib import Path

from tether.plain import plain

MOST = 10
"""How many problems are told one by one."""

_LONGEST = 40


class ShotListError(Exception):
    """A shot list that cannot be used; the message names file and row, and what was expected."""


class Problems:
    """Gathers what is wrong with one file, a line each.

    Parameters
    ----------
    path
        The file.
    """

    def __init__(self, path: Path) -> None:
        self._file = plain(str(path))
        self._lines: list[str] = []

    def add(self, where: str, what: str) -> None:
        """Note a problem in a row or line; `where` is empty if it is the whole file's."""
        self._lines.append(": ".join(filter(None, (self._file, where, what))))

    def refusal(self, what: str, where: str = "") -> ShotListError:
        """Return the error to raise at once, with this and whatever was noted before."""
        self.add(where, what)
        return self._error()

    def check(self) -> None:
        """Raise what was noted, if anything was.

        Raises
        ------
        ShotListError
            All of it, at most `MOST` lines and how many more there are.
        """
        if self._lines:
            raise self._error()

    def _error(self) -> ShotListError:
        more = len(self._lines) - MOST
        told = self._lines[:MOST] + ([f"and {more} more"] if more > 0 else [])
        return ShotListError("\n".join(told))


def shown(value: object) -> str:
    """Return what somebody wrote, quoted, short and safe to print."""
    if not isinstance(value, str):
        value = repr(value)
        return plain(value if len(value) <= _LONGEST else f"{value[:_LONGEST]}…")
    return f"'{plain(value if len(value) <= _LONGEST else f'{value[:_LONGEST]}…')}'"
