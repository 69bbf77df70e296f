"""A connection that cannot be held for nothing: counted, and cut when it does not go on."""

from __future__ import annotations

import asyncio
from collections import Counter
from typing import Any, ClassVar

from uvicorn.protocols.http.h11_impl import H11Protocol

from tether.second_screen.pace import neighbourhood

IN_ALL = 256
OF_ONE = 64
# For a request to be made, and for what was sent to be read.
PATIENCE_S = 10.0


class Connection(H11Protocol):
    """The server's protocol with bounds that it has none of itself."""

    _counts: ClassVar[Counter[str]] = Counter()

    def __init__(self, *arguments: Any, **more: Any) -> None:
        super().__init__(*arguments, **more)
        self._near = ""
        self._asking: asyncio.TimerHandle | None = None
        self._reading: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take a connection in, or cut it before a byte is read."""
        super().connection_made(transport)
        self._near = neighbourhood(self.client[0] if self.client else "")
        self._counts[self._near] += 1
        if self._counts[self._near] > OF_ONE or self._counts.total() > IN_ALL:
            transport.abort()
            return
        self._asking = self._in_time()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget it."""
        self._counts[self._near] -= 1
        if self._counts[self._near] <= 0:
            del self._counts[self._near]
        for timer in (self._asking, self._reading):
            if timer is not None:
                timer.cancel()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Read on; a request that is whole has its time for being answered."""
        super().data_received(data)
        if self._asking is not None and self.cycle and not self.cycle.response_complete:
            self._asking.cancel()
            self._asking = None

    def on_response_complete(self) -> None:
        """Wait for the next request, so long."""
        super().on_response_complete()
        if self._asking is None and not self.transport.is_closing():
            self._asking = self._in_time()

    def pause_writing(self) -> None:
        """The other end does not read."""
        super().pause_writing()
        self._reading = self._in_time()

    def resume_writing(self) -> None:
        """It does again."""
        super().resume_writing()
        if self._reading is not None:
            self._reading.cancel()
            self._reading = None

    def _in_time(self) -> asyncio.TimerHandle:
        # Not `close`, which would wait for what was sent to be read.
        return self.loop.call_later(PATIENCE_S, self.transport.abort)
