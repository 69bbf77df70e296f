"""The pages: what is there, and who may see it."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from functools import partial

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from tether.second_screen import letting_in, pages
from tether.second_screen.events import Events
from tether.second_screen.guard import Guard
from tether.second_screen.served import Served, address, let_in, only_paired
from tether.session.schema import RecordError

Handler = Callable[[Request], Awaitable[Response | Events]]

_DIGITS = 18  # of a row's number


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
            Route("/pair", of(letting_in.pair), methods=["POST"]),
            Route("/pair", of(letting_in.ask), methods=["GET"]),
            Route("/pair/{code}", of(letting_in.ask), methods=["GET"]),
        ]
    inner = Starlette(routes=routes, exception_handlers={HTTPException: _plainly})
    inner.router.redirect_slashes = False
    return Guard(inner, names)


async def _screen(served: Served, request: Request) -> Response:
    if not let_in(served, request):
        return letting_in.pairing_page("", "", 403)
    return pages.html("screen.html")


async def _events(served: Served, request: Request) -> Response | Events:
    only_paired(served, request)
    box = served.hub.open(address(request))
    return PlainTextResponse("too many screens\n", 503) if box is None else Events(served.hub, box)


async def _alive(served: Served, request: Request) -> Response:
    only_paired(served, request)
    return Response(status_code=503 if served.hub.full else 204)


async def _picture(served: Served, request: Request) -> Response:
    only_paired(served, request)
    name, jpeg = served.picture
    if not jpeg or request.path_params["name"] != name:
        raise HTTPException(404)
    return Response(jpeg, media_type="image/jpeg")


async def _on_it(served: Served, request: Request) -> Response:
    only_paired(served, request)
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


async def _style(served: Served, request: Request) -> Response:
    del served, request
    return pages.style()


async def _script(served: Served, request: Request) -> Response:
    del served, request
    return pages.script()


async def _icon(served: Served, request: Request) -> Response:
    del served, request
    return pages.icon()


async def _plainly(request: Request, problem: Exception) -> Response:
    del request
    status = problem.status_code if isinstance(problem, HTTPException) else 500
    words = {403: "not paired", 404: "nothing here", 405: "not this way"}.get(status, "refused")
    return PlainTextResponse(f"{words}\n", status)
