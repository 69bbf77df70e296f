"""A folder that does not answer, a share that hangs, is told of; nothing old is shown as new."""

from __future__ import annotations

import threading
from pathlib import Path

import httpx
import pytest

from tests.second_screen import demo
from tests.second_screen.serving import Stream
from tests.session.made import until
from tether.second_screen.address import bound
from tether.second_screen.serving import Now, Serving
from tether.second_screen.state import State, States
from tether.session.record import Record


def test_a_reading_that_hangs_is_told_and_so_is_that_it_is_over(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    demo.filled(folder, record)
    free = threading.Event()
    free.set()
    look = States.changed

    def hanging(self: States) -> State | None:
        free.wait(60)
        return look(self)

    # No share that hangs can be had in a test without rights; this is where one would.
    monkeypatch.setattr(States, "changed", hanging)
    place, told = bound("127.0.0.1", 0), list[Now]()
    serving = Serving(folder, place, secret=b"", picture=False, told=told.append)
    running = threading.Thread(target=serving.run)
    running.start()
    try:
        until(lambda: bool(told))
        with httpx.Client(base_url=place.url, timeout=10.0) as client:
            stream = Stream(client)
            while not stream.state().get("frame"):
                pass
            free.clear()
            while (state := stream.state())["lines"] != ["the folder does not answer"]:
                pass
            assert state["frame"]["name"] == "maker-0009"
            free.set()
            while stream.state()["lines"] == ["the folder does not answer"]:
                pass
            stream.close()
    finally:
        free.set()
        serving.stop()
        running.join(10)
    assert not running.is_alive()
    assert not serving.failed


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_reading_that_fails_in_a_way_nobody_foresaw_ends_it_to_be_started_again(
    folder: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    demo.filled(folder, record)

    def failing(self: States) -> State | None:
        raise ZeroDivisionError

    monkeypatch.setattr(States, "changed", failing)
    serving = Serving(
        folder, bound("127.0.0.1", 0), secret=b"", picture=False, told=lambda now: None
    )
    running = threading.Thread(target=serving.run)
    running.start()
    running.join(10)
    assert not running.is_alive()
    assert serving.failed
