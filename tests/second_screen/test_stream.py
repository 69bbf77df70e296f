"""Open screens are told of every change at once, whatever other screens do."""

from __future__ import annotations

import socket
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path

import psutil
import pytest

from tests.second_screen import demo
from tests.second_screen.serving import Page, Stream, served
from tests.session.made import until
from tether.model import Verdict
from tether.session.lock import Lock
from tether.session.record import Record
from tether.session.schema import NAME

ASK = b"GET /events HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"


@pytest.fixture
def page(folder: Path, record: Record) -> Iterator[Page]:
    demo.filled(folder, record)
    with served(folder) as made:
        yield made


def name(told: dict[str, dict[str, str]]) -> str:
    return (told.get("frame") or {}).get("name", "")


def until_named(stream: Stream, wanted: str) -> dict[str, dict[str, str]]:
    while name(told := stream.state()) != wanted:
        pass
    return told


def test_the_whole_state_comes_first_and_then_each_change(page: Page, record: Record) -> None:
    with page.client() as client, closing(Stream(client)) as stream:
        assert stream.response.headers["content-type"].startswith("text/event-stream")
        assert len(until_named(stream, "maker-0009")["setups"]) == 5
        demo.add(record, 10, Verdict.SHARP, 4)
        assert until_named(stream, "maker-0010")["frame"]["verdict"] == "sharp"


def test_a_beat_is_heard_while_nothing_happens(page: Page) -> None:
    with page.client() as client, closing(Stream(client)) as stream:
        events = [stream.event()[0] for _ in range(4)]
    assert events[0] == "state"
    assert events[-2:] == ["beat", "beat"]


def test_a_screen_that_comes_back_sees_what_it_missed(page: Page, record: Record) -> None:
    with page.client() as client:
        with closing(Stream(client)) as stream:
            until_named(stream, "maker-0009")
        demo.add(record, 10, Verdict.SHARP, 4)
        until(lambda: name(page.state()) == "maker-0010")


def test_that_the_watch_ends_and_begins_is_told(folder: Path, page: Page) -> None:
    with page.client() as client, closing(Stream(client)) as stream:
        with Lock(folder):
            while stream.state().get("lines") != []:
                pass
        while not stream.state().get("lines"):
            pass


def test_on_it_is_seen_by_every_screen(folder: Path, page: Page) -> None:
    own = {"origin": page.url}
    with page.client() as one, page.client() as other, closing(Stream(other)) as stream:
        (reshoot,) = until_named(stream, "maker-0009")["reshoots"]
        path = f"/reshoots/{reshoot['id']}/on-it"  # type: ignore[index]
        assert one.post(path, headers=own).status_code == 204
        while not stream.state()["reshoots"][0]["on_it"]:
            pass
        changes = (folder / f"{NAME}-wal").stat().st_size
        # A second tap, and a thousandth, changes nothing and writes nothing.
        assert {one.post(path, headers=own).status_code for _ in range(50)} == {204}
        assert (folder / f"{NAME}-wal").stat().st_size == changes


def test_clients_that_never_read_cost_the_others_nothing(page: Page, record: Record) -> None:
    with ExitStack() as held, page.client() as client:
        for _ in range(20):
            deaf = held.enter_context(socket.create_connection(("127.0.0.1", page.port)))
            deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
            deaf.sendall(ASK)
        stream = held.enter_context(closing(Stream(client)))
        until_named(stream, "maker-0009")
        before = psutil.Process(page.pid).memory_info().rss
        for nth in range(10, 210):
            demo.add(record, nth, Verdict.SOFT, 4)
        until_named(stream, "maker-0209")
        assert psutil.Process(page.pid).memory_info().rss - before < 20_000_000


def test_a_client_that_stops_reading_is_let_go(folder: Path, page: Page, record: Record) -> None:
    with socket.socket() as deaf:
        deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
        deaf.connect(("127.0.0.1", page.port))
        deaf.sendall(ASK)
        until(lambda: page.invitation.screens == 1)
        deadline = time.monotonic() + 40
        nth = 10
        while page.invitation.screens:
            assert time.monotonic() < deadline
            nth += 1
            demo.add(record, nth, Verdict.SOFT, 4)
            time.sleep(0.02)


@pytest.mark.skipif(sys.platform == "darwin", reason="has one loopback address")
def test_a_client_that_connects_a_thousand_times_leaves_the_others_alone(
    page: Page, record: Record
) -> None:
    process = psutil.Process(page.pid)
    with page.client() as client, closing(Stream(client)) as stream:
        until_named(stream, "maker-0009")
        before = process.memory_info().rss
        kept = []
        for nth in range(1000):
            try:
                at = ("127.0.0.1", page.port)
                kept.append(socket.create_connection(at, 2, source_address=("127.0.0.2", 0)))
                kept[-1].sendall(ASK if nth % 2 else b"GET / HT")
            except OSError:
                continue
        assert process.num_fds() < 250
        demo.add(record, 10, Verdict.SHARP, 4)
        until_named(stream, "maker-0010")
        for one in kept:
            one.close()
        assert process.memory_info().rss - before < 30_000_000
    until(lambda: page.invitation.screens == 0)
    assert name(page.state()) == "maker-0010"


def test_a_connection_that_asks_for_nothing_is_cut(page: Page) -> None:
    with socket.create_connection(("127.0.0.1", page.port), timeout=20) as idle:
        idle.sendall(b"GET / HTTP/1.1\r\n")
        assert idle.recv(10) == b""
