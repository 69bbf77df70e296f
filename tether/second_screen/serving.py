"""One page served until told to stop: the socket, the pages and the reading of the record."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import uvicorn

from tether.second_screen.address import Place
from tether.second_screen.connections import Connection
from tether.second_screen.hub import Hub
from tether.second_screen.pairing import Pairing
from tether.second_screen.polling import Polling
from tether.second_screen.routes import application
from tether.second_screen.served import Served
from tether.second_screen.state import State, States
from tether.session import reshoots

SILENCE_S = 3.0
_LOOK_S = 0.1


@dataclass(frozen=True, slots=True)
class Now:
    """How the page is doing: its pairing code, empty where none is wanted, and the screens open."""

    code: str
    screens: int


class Serving:
    """Serves the page of `folder`'s session at `place`.

    Parameters
    ----------
    folder, place
        The session's folder; a bound socket.
    secret
        What screens are let in by: whoever has it lets in the same ones.
    picture
        Whether pictures may leave this computer. On it they are shown anyway.
    told
        Called whenever the pairing code or the number of open screens is another.

    `failed` is whether it ended because the record could not be read on.
    """

    def __init__(
        self,
        folder: Path,
        place: Place,
        *,
        secret: bytes,
        picture: bool,
        told: Callable[[Now], None],
    ) -> None:
        self._folder, self._place, self._told = folder, place, told
        self._hub = Hub(lambda _: self._tell())
        self._served = Served(
            self._hub,
            secret,
            Pairing() if place.open else None,
            partial(reshoots.take, folder),
            self._tell,
            # A browser keeps cookies by host alone: two pages of one computer must not share one.
            cookie=f"tether-{place.port}",
        )
        self.failed = False
        self._state = State({})
        self._pictures = picture or not place.open
        config = uvicorn.Config(
            application(self._served, place.names),
            http=Connection,
            ws="none",
            lifespan="off",
            loop="asyncio",
            log_level="error",
            access_log=False,
            server_header=False,
            date_header=False,
            proxy_headers=False,
            h11_max_incomplete_event_size=8192,
            backlog=64,  # also how many are taken in before the first of them can be cut
            timeout_keep_alive=5,
            timeout_graceful_shutdown=1,
        )
        self._server = uvicorn.Server(config)

    def stop(self) -> None:
        """Have `run` return soon; may be called from any thread."""
        self._server.should_exit = True

    def run(self) -> None:
        """Serve."""
        asyncio.run(self._run())

    async def _run(self) -> None:
        loop = asyncio.get_running_loop()

        def publish(state: State) -> None:
            if not loop.is_closed():
                loop.call_soon_threadsafe(self._take, state)

        polling = Polling(States(self._folder, pictures=self._pictures), publish)
        polling.start()
        self._tell()
        ending = asyncio.create_task(self._look_after(polling))
        try:
            await self._server.serve(sockets=[self._place.socket])
        finally:
            ending.cancel()
            polling.end()
            await asyncio.to_thread(polling.join, 2.0)

    def _take(self, state: State) -> None:
        self._state = state
        self._served.picture = state.picture
        self._served.waiting, self._served.taken = state.waiting, state.taken
        self._hub.publish(json.dumps(state.told).encode())

    async def _look_after(self, polling: Polling) -> None:
        hung = False
        while not self._server.should_exit:
            await asyncio.sleep(_LOOK_S)
            if not polling.is_alive():
                self.failed = True  # nobody foresaw why; a new process may fare better
                break
            if hung != (time.monotonic() - polling.beat > SILENCE_S):
                hung = not hung
                # What may be old must not look live.
                lines = {"lines": ["the folder does not answer"]} if hung else {}
                self._hub.publish(json.dumps(self._state.told | lines).encode())
        self._server.should_exit = True
        # Streams last for as long as a screen is open: the server would wait for them in vain.
        self._hub.end()

    def _tell(self) -> None:
        pairing = self._served.pairing
        self._told(Now(pairing.code if pairing else "", len(self._hub)))
