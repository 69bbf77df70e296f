"""A watch in a thread on a real folder, for tests."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tests.session.made import until
from tether.arrivals.folder import FolderSource
from tether.arrivals.joined import Joined
from tether.arrivals.named import Named
from tether.model import Judgement
from tether.session.coverage import Coverage
from tether.session.roots import Roots
from tether.session.watch import Watch
from tether.settings import Settings, load


@dataclass
class Running:
    """A watch in a thread, and what it has told."""

    folder: Path
    others: tuple[Path, ...] = ()
    told: list[Judgement] = field(default_factory=list)
    alerted: list[Judgement] = field(default_factory=list)
    danger: list[bool] = field(default_factory=list)
    raised: list[Coverage] = field(default_factory=list)
    stop: threading.Event = field(default_factory=threading.Event)
    thread: threading.Thread | None = None

    def begin(self, settings: Settings | None = None) -> Running:
        roots = Roots(self.folder, self.others)
        source = Joined(
            [
                Named(FolderSource(one.folder, patience=0.6), one.camera or "")
                for one in roots.origins
            ]
        )
        watch = Watch(
            self.folder,
            settings or Settings(),
            source,
            [self.told.append],
            [self._alert],
            raised=[self.raised.append],
            preset=load,
            roots=roots,
        )
        self.thread = threading.Thread(target=watch.run, args=(self.stop,))
        self.thread.start()
        return self

    def _alert(self, judgement: Judgement, in_danger: bool) -> None:
        self.alerted.append(judgement)
        self.danger.append(in_danger)

    def end(self) -> None:
        self.stop.set()
        if self.thread is not None:
            self.thread.join(20)

    def names(self) -> list[str]:
        return [one.frame for one in self.told]

    def until_told(self, count: int) -> None:
        until(lambda: len(self.told) >= count)
        time.sleep(0.3)  # and no more than that
        assert len(self.told) == count, self.names()


Begin = Callable[..., Running]
