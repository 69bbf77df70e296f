"""The pages: what is there, and who may see it."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from functools import partial

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from tether.second_screen import pages, tickets
from tether.second_screen.events import Events
from tether.second_screen.guard import LARGEST_BODY, Guard
from tether.second_screen.hub import Hub
from tether.second_screen.pairing import Pairing, Try, spelt
from tether.session.schema import RecordError

Handler = Callable[[Request], Awaitable[Response | Events]]

_BODY_S = 5.0
_DIGITS = 18  # of a row's number


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


def application(served: Served, names: frozenset[str]) -> ASGIApp:
    """All of it, behind its guard."""

    def of(step: Callable[[Served, Request], Awaitable[Response | Events]]) -> Handler:
        return partial(step, served)

    routes = [
        Route("/", of(_screen), methods=["GET"]),
        Route("/events", of(_events), methods=["GET"]),
        Route("/alive", of(_alive), methods=["GET"]),
        Route("/picture/{name}", of(_picture), methods=["GET"]),
        Route("/reshoots/{number}/on-it", of(_on_it), methods=["POST"]),
        Route("/screen.css", of(_style), methods=["GET"]),
        Route("/screen.js", of(_script), methods=["GET"]),
        Route("/icon.svg", of(_icon), methods=["GET"]),
    ]
    if served.pairing is not None:
        routes += [
            Route("/pair", of(_pair), methods=["POST"]),
            Route("/pair", of(_ask), methods=["GET"]),
            Route("/pair/{code}", of(_ask), methods=["GET"]),
        ]
    inner = Starlette(routes=routes, exception_handlers={HTTPException: _plainly})
    inner.router.redirect_slashes = False
    return Guard(inner, names)


async def _screen(served: Served, request: Request) -> Response:
    if not _let_in(served, request):
        return _pairing_page("", "", 403)
    return pages.html("screen.html")


async def _events(served: Served, request: Request) -> Response | Events:
    _only_paired(served, request)
    box = served.hub.open(_address(request))
    return PlainTextResponse("too many screens\n", 503) if box is None else Events(served.hub, box)


async def _alive(served: Served, request: Request) -> Response:
    _only_paired(served, request)
    return Response(status_code=503 if served.hub.full else 204)


async def _picture(served: Served, request: Request) -> Response:
    _only_paired(served, request)
    name, jpeg = served.picture
    if not jpeg or request.path_params["name"] != name:
        raise HTTPException(404)
    return Response(jpeg, media_type="image/jpeg")


async def _on_it(served: Served, request: Request) -> Response:
    _only_paired(served, request)
    said = request.path_params["number"]
    number = int(said) if said.isdecimal() and len(said) <= _DIGITS else 0  # there is none
    # One at a time, and once each: taps, however many, must not crowd out the watch's own writing.
    async with served.writing:
        if number not in served.waiting | served.taken:
            raise HTTPException(404)
        if number in served.waiting:
            try:
                await asyncio.to_thread(served.take, number)
            except RecordError:
                raise HTTPException(503) from None
            served.waiting -= {number}
            served.taken |= {number}
    return Response(status_code=204)


async def _ask(served: Served, request: Request) -> Response:
    """Show a button and nothing else: what opens links by itself must not use the code up."""
    if _let_in(served, request):
        return RedirectResponse("/", 303)
    return _pairing_page(spelt(request.path_params.get("code", "")), "", 200)


async def _pair(served: Served, request: Request) -> Response:
    assert served.pairing is not None, "there is no such page otherwise"
    said = await _said(request)
    now = time.monotonic()
    outcome = served.pairing.attempt(said, _address(request), now)
    if outcome is not Try.RIGHT:
        await asyncio.sleep(served.pairing.pause_s(now))
        if outcome is Try.WRONG:
            return _pairing_page("", "That is not the code, or it was used already.", 403)
        return _pairing_page("", "Too many tries. Wait a moment, then try again.", 429)
    served.code_changed()
    let_in = RedirectResponse("/", 303)
    let_in.set_cookie(
        served.cookie, tickets.issued(served.secret), httponly=True, samesite="strict", path="/"
    )
    return let_in


async def _style(served: Served, request: Request) -> Response:
    del served, request
    return pages.style()


async def _script(served: Served, request: Request) -> Response:
    del served, request
    return pages.script()


async def _icon(served: Served, request: Request) -> Response:
    del served, request
    return pages.icon()


def _pairing_page(code: str, words: str, status: int) -> Response:
    page = pages.html("pair.html", status, code=code, words=words)
    # Under "no-referrer" a form is sent with the origin "null" (Fetch, "append a request Origin
    # header"), which tells nothing. There is no link on the page that could lead elsewhere.
    page.headers["referrer-policy"] = "same-origin"
    if status == 429:
        page.headers["retry-after"] = "2"
    return page


async def _said(request: Request) -> str:
    body = b""
    try:
        async with asyncio.timeout(_BODY_S):
            async for part in request.stream():
                body += part
    except TimeoutError:
        raise HTTPException(408) from None
    if len(body) > LARGEST_BODY:
        raise HTTPException(413)
    name, _, value = body.decode("ascii", "replace").partition("=")
    return value.replace("%2D", "-").replace("+", "") if name == "code" else ""


def _let_in(served: Served, request: Request) -> bool:
    if served.pairing is None:
        return True
    return tickets.good(served.secret, request.cookies.get(served.cookie, ""))


def _only_paired(served: Served, request: Request) -> None:
    if not _let_in(served, request):
        raise HTTPException(403)


def _address(request: Request) -> str:
    return request.client.host if request.client else ""


async def _plainly(request: Request, problem: Exception) -> Response:
    del request
    status = problem.status_code if isinstance(problem, HTTPException) else 500
    words = {403: "not paired", 404: "nothing here", 405: "not this way"}.get(status, "refused")
    return PlainTextResponse(f"{words}\n", status)
