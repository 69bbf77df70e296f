"""What has been delivered, so that nothing is delivered twice as it was."""

from __future__ import annotations

from tether.frame.file import FileIdentity

RENUMBERED = 3
"""So many files of other inode and nothing else at once: inodes mean nothing on this share."""


class Delivered:
    """Every delivered path with the file that stood there.

    One thread writes; others may ask at any time.
    """

    def __init__(self) -> None:
        # With the mount that it was seen on: another one may number its files anew.
        self._files: dict[str, tuple[FileIdentity, int]] = {}
        self._whole: set[FileIdentity] = set()
        self._mount = 0
        self._renumbering = False

    def __contains__(self, path: object) -> bool:
        return path in self._files

    def paths(self) -> list[str]:
        """Return every delivered path as it is now; any thread may."""
        return list(self._files)

    def knows(self, path: str, file: FileIdentity) -> bool:
        """Return whether this file was delivered from this path, and nothing has changed since."""
        had, mount = self._files.get(path, (None, 0))
        if had is None or (had.size, had.mtime_ns) != (file.size, file.mtime_ns):
            return False
        return mount != self._mount or self._renumbering or not had.other_inode(file)

    def another_inode(self, path: str, file: FileIdentity) -> bool:
        """Return whether nothing has changed at this path but the file's inode."""
        had, mount = self._files.get(path, (None, 0))
        return (
            had is not None
            and mount == self._mount
            and (had.size, had.mtime_ns) == (file.size, file.mtime_ns)
            and had.other_inode(file)
        )

    def numbered_otherwise(self, path: str, file: FileIdentity) -> bool:
        """Whether this path's file had another inode on what is the same device, as it seems."""
        had, _ = self._files.get(path, (None, 0))
        return had is not None and had.device == file.device and had.other_inode(file)

    def was_whole(self, file: FileIdentity) -> bool:
        """Return whether this file was delivered before, from whatever path."""
        return bool(file.inode) and file in self._whole

    def note(self, path: str, file: FileIdentity) -> None:
        """Remember that the file was delivered."""
        had, _ = self._files.get(path, (None, 0))
        if had is not None:
            self._whole.discard(had)
        self._files[path] = file, self._mount
        self._whole.add(file)

    def forget(self, path: str) -> bool:
        """Forget a path that its file has left; False where none was delivered from there."""
        return self._files.pop(path, None) is not None

    def mounted_anew(self) -> None:
        """Take it that files may have other inodes from here on."""
        self._mount += 1

    def renumbering(self) -> None:
        """Take it that inodes mean nothing here, as on shares that number files at each look."""
        self._renumbering = True
