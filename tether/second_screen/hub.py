"""Hands the newest state to every open screen; a place for one message each, and no queue."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from tether.second_screen.pace import neighbourhood

IN_ALL = 64
OF_ONE = 32


class Mailbox:
    """One screen's: what is newer takes the place of what was not fetched."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.ended = False
        self._newest: bytes | None = None
        self._news = asyncio.Event()

    def put(self, state: bytes) -> None:
        """Leave a state there."""
        self._newest = state
        self._news.set()

    def end(self) -> None:
        """Nothing more comes."""
        self.ended = True
        self._news.set()

    async def take(self, within_s: float) -> bytes | None:
        """The newest state as soon as there is one; None if none came in time, or at the end."""
        try:
            await asyncio.wait_for(self._news.wait(), within_s)
        except TimeoutError:
            return None
        if not self.ended:
            self._news.clear()
        state, self._newest = self._newest, None
        return state


class Hub:
    """The newest state and the open screens, on one event loop."""

    def __init__(self, counted: Callable[[int], None] = lambda _: None) -> None:
        self.state = b"{}"
        self._counted = counted
        self._open: dict[Mailbox, str] = {}

    def __len__(self) -> int:
        return len(self._open)

    @property
    def full(self) -> bool:
        """Whether nobody else can be served."""
        return len(self._open) >= IN_ALL

    def publish(self, state: bytes) -> None:
        """Hand a new state to everybody."""
        self.state = state
        for box in self._open:
            box.put(state)

    def open(self, address: str) -> Mailbox | None:
        """A mailbox with the state as it is now in it; None where there are too many.

        Of too many at one address the oldest gives way: it is a page that was left.
        """
        near = neighbourhood(address)
        of_one = [box for box, at in self._open.items() if at == near]
        if len(of_one) >= OF_ONE:
            self.close(of_one[0])
        if self.full:
            return None
        box = Mailbox(address)
        box.put(self.state)
        self._open[box] = near
        self._counted(len(self._open))
        return box

    def close(self, box: Mailbox) -> None:
        """Forget a mailbox, which may have been forgotten before."""
        box.end()
        if self._open.pop(box, None) is not None:
            self._counted(len(self._open))

    def end(self) -> None:
        """Let go of everybody."""
        for box in list(self._open):
            self.close(box)
