"""The page's own process on a record, as `tether watch` runs it, and a client to ask it with."""

from __future__ import annotations

import json
import socket
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx

from tests.session.made import until
from tether.commands.second_screen import SecondScreen
from tether.dashboard.invitation import Invitation


def free_port() -> int:
    """A port of this computer that nobody uses just now."""
    with socket.socket() as opened:
        opened.bind(("127.0.0.1", 0))
        return int(opened.getsockname()[1])


@dataclass
class Page:
    """A page that is served: `beside` is what keeps it so."""

    beside: SecondScreen

    @property
    def invitation(self) -> Invitation:
        return self.beside.invitation()

    @property
    def port(self) -> int:
        return int(self.invitation.address.rstrip("/").rpartition(":")[2])

    @property
    def url(self) -> str:
        """By loopback, however it is opened: there is no other network to rely on."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def pid(self) -> int:
        return self.beside.pid or 0

    def client(self, **more: Any) -> httpx.Client:
        return httpx.Client(base_url=self.url, timeout=10.0, **more)

    @contextmanager
    def paired(self) -> Iterator[httpx.Client]:
        """A client that has used the code."""
        with self.client(headers={"origin": self.url}) as client:
            code = self.invitation.code
            answer = client.post("/pair", data={"code": code})
            assert answer.status_code == 303, answer.text
            until(lambda: self.invitation.code not in {"", code})
            yield client

    def state(self, client: httpx.Client | None = None) -> dict[str, Any]:
        """What a screen that opens now is told."""
        with nullcontext(client) if client is not None else self.client() as asking:
            stream = Stream(asking)
            try:
                while not (found := stream.state()):
                    pass  # the record was not read yet
                return found
            finally:
                stream.close()


@contextmanager
def served(
    folder: Path, *, host: str = "127.0.0.1", picture: bool = False, port: int | None = None
) -> Iterator[Page]:
    """Serve the page; `host` 0.0.0.0 is beyond loopback."""
    with SecondScreen(folder, host, port or free_port(), picture=picture) as beside:
        page = Page(beside)
        until(lambda: bool(page.invitation.address))
        until(lambda: answers(page))
        yield page


def answers(page: Page) -> bool:
    try:
        return page.client().get("/icon.svg").status_code == 200
    except httpx.TransportError:
        return False


class Stream:
    """An open stream of server-sent events, read as the standard says (HTML, 9.2.6)."""

    def __init__(self, client: httpx.Client) -> None:
        self._context = client.stream("GET", "/events")
        self.response = self._context.__enter__()
        self._lines = self.response.iter_lines()

    def close(self) -> None:
        self._context.__exit__(None, None, None)

    def event(self) -> tuple[str, str]:
        """The next event's name and data."""
        name, data = "", ""
        for line in self._lines:
            if not line and name:
                return name, data
            field, _, value = line.partition(": ")
            name = value if field == "event" else name
            data = value if field == "data" else data
        raise EOFError

    def state(self, within_s: float = 10.0) -> dict[str, Any]:
        """The next state."""
        deadline = time.monotonic() + within_s
        while time.monotonic() < deadline:
            name, data = self.event()
            if name == "state":
                return dict(json.loads(data))
        raise AssertionError("no state came")
