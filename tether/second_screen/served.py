"""What the pages are made from, and who may see them."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field

from starlette.exceptions import HTTPException
from starlette.requests import Request

from tether.second_screen import tickets
from tether.second_screen.hub import Hub
from tether.second_screen.pairing import Pairing


@dataclass
class Served:
    """What the pages are made from.

    `pairing` is None where anybody who can reach the page may see it. `take` is called in a thread
    with a reshoot that somebody is on from now. `code_changed` is called when there is another
    pairing code. `waiting` are the open reshoots that nobody is on yet, `taken` those that somebody
    is. `picture` is what the newest frame's focus area looks like, under its name, if it may be
    shown.
    """

    hub: Hub
    secret: bytes
    pairing: Pairing | None
    take: Callable[[int], None]
    code_changed: Callable[[], None] = lambda: None
    cookie: str = "tether"
    waiting: frozenset[int] = frozenset()
    taken: frozenset[int] = frozenset()
    picture: tuple[str, bytes] = ("", b"")
    writing: asyncio.Lock = field(default_factory=asyncio.Lock)


def let_in(served: Served, request: Request) -> bool:
    """Whether who asks may see the session."""
    if served.pairing is None:
        return True
    return tickets.good(served.secret, request.cookies.get(served.cookie, ""))


def only_paired(served: Served, request: Request) -> None:
    """Refuse who may not."""
    if not let_in(served, request):
        raise HTTPException(403)


def address(request: Request) -> str:
    """Where the request comes from."""
    return request.client.host if request.client else ""
