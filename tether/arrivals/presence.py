"""Whether the folder is there, and is still the same folder."""

from __future__ import annotations

import os
import stat


class Presence:
    """Tells which folder a path leads to now.

    Parameters
    ----------
    folder
        The path.
    """

    def __init__(self, folder: str) -> None:
        self._folder = folder
        self._mounted = False

    def identity(self) -> tuple[int, int] | None:
        """Return the folder's device and inode, or None while it is gone.

        A path that was a mount point and is a bare folder now counts as gone: the card or the
        share has left, and only the place where it hung remains.
        """
        try:
            seen = os.stat(self._folder)  # noqa: PTH116
        except OSError:
            return None
        if not stat.S_ISDIR(seen.st_mode):
            return None
        mounted = os.path.ismount(self._folder)
        if self._mounted and not mounted:
            return None
        self._mounted = mounted
        return seen.st_dev, seen.st_ino
