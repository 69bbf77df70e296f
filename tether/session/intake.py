"""What an arrival means for the session: a frame to judge, a file known already, a raw's pair."""

from __future__ import annotations

from pathlib import Path

from tether.arrivals.source import Whole
from tether.frame import kinds
from tether.judge import Asked
from tether.session.pairing import Pairing
from tether.session.record import Stamp
from tether.session.roots import Roots


class Intake:
    """Knows every file of the session's folders and turns arrivals into frames to judge."""

    def __init__(self, roots: Roots, pair_wait_s: float) -> None:
        self._roots = roots
        self.pairing = Pairing(pair_wait_s)
        self._known: dict[Path, Stamp] = {}

    def remember(self, known: dict[Path, Stamp], raws: dict[Path, Path]) -> None:
        """Take over what a record says of the session so far; paths as it names them."""
        self._known.update(known)
        home = self._roots.home
        for below in known:
            path = home / below
            if kinds.is_raw(path):
                self.pairing.told(path)
            else:
                self.pairing.picture(path)
        for below, raw in raws.items():
            self.pairing.pair(home / below, home / raw)

    def knows(self, path: Path) -> bool:
        """Whether this file was judged, passed over, or is the raw of such a frame."""
        return self.below(path) in self._known or path in self.pairing.paired

    def whole(self, whole: Whole) -> Asked | None:
        """The frame to judge now that this file is whole; None if it is known already."""
        if self._seen(whole):
            return None
        self.pairing.picture(whole.path)
        return self.asked(whole)

    def raw(self, whole: Whole) -> Path | None:
        """The picture that a raw newly belongs to; None if it is known, or has none yet."""
        if self._seen(whole) or whole.path in self.pairing.paired:
            return None
        return self.pairing.raw(whole)

    def asked(self, whole: Whole) -> Asked:
        """The frame that this file alone stands for."""
        return Asked(
            path=whole.path,
            frame=self.name(whole.path),
            arrived=whole.when,
            found=whole.found,
            within=self._roots.within(whole.path),
            camera=self._roots.camera(whole.path),
        )

    def news(self, below: Path, stamp: Stamp) -> bool:
        """Whether a judgement of this file is news: after a save that changed nothing it is not."""
        before = self._known.get(below)
        self._known[below] = stamp
        return before is None or before.digest is None or before.digest != stamp.digest

    def renamed(self, old: Path, new: Path) -> bool:
        """Follow a file to its new name; False if nothing was known of it."""
        stamp = self._known.pop(self.below(old), None)
        self.pairing.renamed(old, new)
        if stamp is not None:
            self._known[self.below(new)] = stamp
        return stamp is not None

    def name(self, path: Path) -> str:
        """A frame's name in the session."""
        return self._roots.name(path)

    def below(self, path: Path) -> Path:
        """A path as the record names it."""
        return self._roots.below(path)

    def _seen(self, whole: Whole) -> bool:
        known = self._known.get(self.below(whole.path))
        return known is not None and (known.size, known.mtime_ns) == (whole.size, whole.mtime_ns)
