"""The session's folder as the camera's files come into it: each whole, or not at all."""

from __future__ import annotations

import logging
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path, PurePosixPath
from typing import Protocol

from tether.arrivals.camera import naming
from tether.arrivals.camera.ledger import Dealt, Ledger
from tether.arrivals.camera.messages import OnCard
from tether.plain import plain

_log = logging.getLogger(__name__)

_ONE_EXPOSURE_S = 5
_SPARE = 16 << 20
"""Bytes of disk that a transfer leaves to the record and everybody else."""


class Fetch(Protocol):
    """Copies a file from the card and returns how many bytes came, telling of them on the way."""

    def __call__(self, file: OnCard, to: Path, progress: Callable[[int], None]) -> int:
        """Fetch it."""


class Untaken(Exception):
    """The file was not taken; the message says why. It is still on the card."""


class DiskFull(Exception):
    """There is no room for it."""


class SessionFolder:
    """The session's folder as the camera's frames come into it; nothing outside it is written.

    A transfer killed at any instant leaves a hidden part and perhaps a line in the ledger that
    says what the part is to be called. With the line, the part is whole; without, it is not.

    With `own` the folder is this camera's alone, inside the session's, and made where it is not
    there.

    Raises
    ------
    LedgerError, OSError
        From every method: the folder is away or cannot be written.
    """

    def __init__(self, folder: Path, ledger: Ledger, *, own: bool = False) -> None:
        self.folder = folder
        self._own = own
        self._ledger = ledger
        self._known: dict[str, dict[OnCard, Path | None]] = {}

    def tidy(self) -> None:
        """Read the ledger, finish what was fetched whole without a name, and drop other parts."""
        self._known.clear()
        self._ledger.began()
        if self._own:
            self.folder.mkdir(exist_ok=True)
        dealt_with = self._ledger.dealt()
        for dealt in dealt_with:
            self.known(dealt.camera)[dealt.on_card] = dealt.file
        parts = set(naming.parts(self.folder))
        for dealt in dealt_with:
            whole = naming.part(self.folder, dealt.camera, dealt.on_card)
            if dealt.file is None or whole not in parts:
                continue
            parts.discard(whole)
            final = self.folder / dealt.file
            if final.exists() and final.samefile(whole):
                whole.unlink()
            elif final.exists() and final.stat().st_size == 0:
                whole.replace(final)  # the name that was held for it
            else:
                self._named(dealt.camera, dealt.on_card, whole)
        for left in parts:
            left.unlink(missing_ok=True)

    @property
    def began(self) -> float:
        """When the session began, in s since 1970."""
        return self._ledger.began()

    def known(self, camera: str) -> dict[OnCard, Path | None]:
        """Return what of this camera's card was dealt with, by what it became."""
        return self._known.setdefault(camera, {})

    def pass_over(self, camera: str, files: list[OnCard]) -> None:
        """Note files that stay on the card."""
        self._ledger.note(Dealt(camera, file, None) for file in files)
        self.known(camera).update(dict.fromkeys(files))

    def make_sure_of_room(self, file: OnCard) -> None:
        """Look whether the disk can take a file.

        Raises
        ------
        DiskFull
            It cannot; the message says how much is missing.
        """
        free = shutil.disk_usage(self.folder).free
        if free < file.size + _SPARE:
            raise DiskFull(f"{free / 1e6:.0f} MB are free, {file.name} takes {file.size / 1e6:.0f}")

    def fetch(
        self, camera: str, file: OnCard, fetch: Fetch, progress: Callable[[int], None]
    ) -> Path:
        """Fetch a file, and return its path once it stands there whole.

        Raises
        ------
        Untaken
            What came is not what was announced.
        """
        whole = naming.part(self.folder, camera, file)
        try:
            came = fetch(file, whole, progress)
            if came != file.size or whole.stat().st_size != file.size:
                raise Untaken(f"{came} bytes came of {file.size} announced")
        except BaseException:
            whole.unlink(missing_ok=True)
            raise
        return self._named(camera, file, whole)

    def has(self, camera: str, file: OnCard) -> bool:
        """Whether a fetched file stands here with all its bytes, on the disk itself."""
        below = self.known(camera).get(file)
        if below is None:
            return False
        with (self.folder / below).open("rb") as here:
            os.fsync(here.fileno())
            return os.fstat(here.fileno()).st_size == file.size

    def _named(self, camera: str, file: OnCard, whole: Path) -> Path:
        name = PurePosixPath(naming.safe(file.name))
        if str(name) != file.name:
            _log.warning("the camera calls a file %s: it is %s here", plain(repr(file.name)), name)
        for stem in self._stems(camera, file, name.stem):
            final = self.folder / f"{stem}{name.suffix}"
            if final.exists():
                continue
            below = final.relative_to(self.folder)
            # Noted before it has the name: a crash between the two is put right by `tidy`.
            self._ledger.note([Dealt(camera, file, below)])
            self.known(camera)[file] = below
            try:
                naming.place(whole, final)
            except FileExistsError:
                continue
            return final
        raise AssertionError("names do not end")

    def _stems(self, camera: str, file: OnCard, stem: str) -> Iterator[str]:
        """Yield stems to try: first that of the other file of this exposure, then free ones."""
        suffix = PurePosixPath(file.name).suffix.casefold()
        own = PurePosixPath(file.name).stem
        pairs = [
            below.stem
            for other, below in reversed(self.known(camera).items())
            if below is not None
            and other.folder == file.folder
            and PurePosixPath(other.name).stem == own
            and PurePosixPath(other.name).suffix.casefold() != suffix
            and abs(other.time - file.time) <= _ONE_EXPOSURE_S
        ]
        taken = {path.stem.casefold() for path in self.folder.iterdir() if not _hidden(path)}
        yield from pairs[:1]
        yield from (free for free in naming.stems(stem) if free.casefold() not in taken)


def _hidden(path: Path) -> bool:
    return path.name.startswith(".")
