"""What has been delivered, so that nothing is delivered twice."""

from __future__ import annotations

import os

from tether.arrivals.whole import Look


class Delivered:
    """Every delivered file with the look it was delivered at.

    One thread writes; others may ask `knows` at any time.
    """

    def __init__(self) -> None:
        self._looks: dict[str, Look] = {}
        self._names: dict[Look, str] = {}

    def __contains__(self, path: object) -> bool:
        return path in self._looks

    def knows(self, path: str, look: Look) -> bool:
        """Return whether this file was delivered with this size and time of change."""
        had = self._looks.get(path)
        # The inode does not count: a share mounted anew may number its files anew.
        return had is not None and had.size == look.size and had.mtime_ns == look.mtime_ns

    def former_name(self, path: str, look: Look) -> str | None:
        """Return the name under which this same file was delivered, if it has gone from there."""
        old = self._names.get(look) if look.ino else None
        if old is None or old == path or os.path.lexists(old):
            return None
        return old

    def note(self, path: str, look: Look) -> None:
        """Remember that the file was delivered."""
        self.forget(path)
        self._looks[path] = look
        if look.ino:
            self._names[look] = path

    def forget(self, path: str) -> None:
        """Forget a name that its file no longer has."""
        had = self._looks.pop(path, None)
        if had is not None and self._names.get(had) == path:
            del self._names[had]
