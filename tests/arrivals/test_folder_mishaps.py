"""What goes wrong beside the source does not end it."""

import logging
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.arrivals.conftest import Watch
from tests.arrivals.inbox import DEADLINE, Inbox, at_rest, wait_for
from tests.arrivals.pictures import jpeg
from tether.arrivals.events import Event
from tether.arrivals.folder import FolderSource
from tether.arrivals.native import NativeEvents
from tether.arrivals.source import Arrival


class Deaf(NativeEvents):
    """Watches another folder, so that only its overflow is heard."""

    elsewhere: Path

    def start(self, folder: Path, tell: Callable[[Event], None]) -> None:
        super().start(self.elsewhere, tell)


@pytest.mark.skipif(sys.platform != "linux", reason="inotify is Linux's")
def test_events_that_the_kernel_dropped_are_made_up_for_by_a_sweep_at_once(
    folder: Path, tmp_path: Path, watch: Watch
) -> None:
    (tmp_path / "elsewhere").mkdir()
    Deaf.elsewhere = tmp_path / "elsewhere"
    source, inbox = watch(events=Deaf, sweep_s=60)
    (folder / "a.jpg").write_bytes(jpeg())
    assert not inbox.all
    logging.getLogger("watchdog.observers.inotify_c").warning("Inotify queue overflowed")
    inbox.until(folder / "a.jpg", seconds=3)
    assert source.sweeps == 2
    assert not inbox.lines


def test_a_consumer_that_fails_gets_the_next_picture_all_the_same(folder: Path) -> None:
    seen: list[Arrival] = []

    def deliver(arrival: Arrival) -> None:
        seen.append(arrival)
        raise ValueError("the consumer's own mishap")

    source = FolderSource(folder, sweep_s=0.2)
    source.start(deliver)
    try:
        for name in ("a.jpg", "b.jpg"):
            (folder / name).write_bytes(jpeg())
            assert wait_for(lambda name=name: any(name in str(one) for one in seen))  # type: ignore[misc]
        at_rest(source)
    finally:
        source.stop()
    assert len(seen) == 2


def test_a_hearer_that_fails_does_not_end_the_events(folder: Path) -> None:
    told: list[Event] = []

    def tell(event: Event) -> None:
        told.append(event)
        raise ValueError("the hearer's own mishap")

    events = NativeEvents()
    events.start(folder, tell)
    try:
        (folder / "a.jpg").write_bytes(jpeg())
        assert wait_for(lambda: len(told) >= 2)
        before = len(told)
        (folder / "b.jpg").write_bytes(jpeg())
        assert wait_for(lambda: len(told) > before)
        assert events.alive()
    finally:
        events.stop()


def test_events_that_cannot_begin_leave_nothing_behind(tmp_path: Path) -> None:
    before = threading.active_count()
    events = NativeEvents()
    with pytest.raises(FileNotFoundError):
        events.start(tmp_path / "nowhere", lambda event: None)
    assert not events.alive()
    assert wait_for(lambda: threading.active_count() <= before)


def test_after_stop_nothing_is_delivered_and_no_thread_is_left(folder: Path) -> None:
    before = threading.active_count()
    source, inbox = FolderSource(folder, sweep_s=0.2), Inbox()
    source.start(inbox)
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    source.stop()
    delivered = len(inbox.all)
    (folder / "b.jpg").write_bytes(jpeg())
    assert wait_for(lambda: threading.active_count() <= before)
    assert len(inbox.all) == delivered


def test_the_consumer_may_stop_the_source_from_within(folder: Path) -> None:
    source = FolderSource(folder, sweep_s=0.2)
    stopped = threading.Event()

    def deliver(arrival: Arrival) -> None:
        source.stop()
        stopped.set()

    source.start(deliver)
    (folder / "a.jpg").write_bytes(jpeg())
    assert stopped.wait(DEADLINE)
    source.stop()


def test_a_source_that_never_began_can_be_stopped(folder: Path) -> None:
    FolderSource(folder).stop()
