"""One channel's messages, sent by a thread of its own: a channel that hangs delays no other."""

from __future__ import annotations

import logging
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from tether.alerts.channel import Channel, Telling
from tether.alerts.message import Message
from tether.alerts.reshoot import Reshoot
from tether.model import Judgement

_log = logging.getLogger(__name__)

PAUSES_S = (2.0, 8.0, 30.0)
"""Between one failure and the next try; the last one from then on."""

TRIES = 4
"""Of one message, before it is given up."""

_MOST_RESHOOTS = 100


class Outbox:
    """Holds the newest message until it is sent; an older one that nobody got is counted in it.

    Reshoots come first and are kept each: a soft frame after it does not undo one.

    `failing` says why the last thing that was tried failed, or is empty.

    Parameters
    ----------
    channel
        What carries the messages.
    pauses_s
        As `PAUSES_S`.
    """

    def __init__(self, channel: Channel, pauses_s: tuple[float, ...] = PAUSES_S) -> None:
        self.channel = channel
        self.failing = ""
        self._pauses_s = pauses_s
        self._changed = threading.Condition()
        self._next: Message | None = None
        self._reshoots: deque[Reshoot] = deque(maxlen=_MOST_RESHOOTS)
        self._tries = 0
        self._failures = 0
        self._not_before = 0.0
        self._checking = True
        self._closing = False
        self._thread = threading.Thread(target=self._run, name=channel.name, daemon=True)

    def start(self) -> None:
        """Begin, with a look whether the channel could deliver anything."""
        self._thread.start()

    def put(self, message: Message) -> None:
        """Have a message sent; returns at once."""
        with self._changed:
            self._next = message.instead_of(self._next) if self._next else message
            self._tries = 0
            self._changed.notify()

    def put_reshoot(self, reshoot: Reshoot) -> None:
        """Have a reshoot told; returns at once."""
        with self._changed:
            self._reshoots.append(reshoot)
            self._changed.notify()

    def whole(self, judgement: Judgement) -> None:
        """Say more of the frame that is to be told of, if it still waits."""
        with self._changed:
            if self._next is not None and self._next.judgement.file == judgement.file:
                self._next = self._next.whole(judgement)
                self._changed.notify()

    def close(self) -> None:
        """Send what waits at once, and nothing after; returns at once."""
        with self._changed:
            self._closing = True
            if self._checking:
                self.channel.end()
            self._changed.notify()

    def join(self, seconds: float) -> None:
        """Wait for the last message, so long; then end what is under way."""
        self._thread.join(max(0.0, seconds))
        self.channel.close()

    def _run(self) -> None:
        why = self._tried(self.channel.check)
        with self._changed:
            self._checking = False
            if not self._closing:
                self._note(why)
        while (message := self._take()) is not None:
            self._done(message, self._tried(partial(self.channel.send, message)))

    def _tried(self, step: Callable[[], str | None]) -> str | None:
        try:
            return step()
        except Exception as problem:  # the thread must live: the next message may fare better
            _log.debug("%s", self.channel.name, exc_info=True)
            return f"failed ({type(problem).__name__})"

    def _take(self) -> Telling | None:
        with self._changed:
            while not self._closing:
                if self._next is None and not self._reshoots:
                    self._changed.wait()
                    continue
                due = 0.0 if self._reshoots or self._next is None else self._next.due_s
                left = max(due, self._not_before) - time.monotonic()
                if left <= 0:
                    break
                self._changed.wait(left)
            if self._reshoots:
                return self._reshoots.popleft()
            message, self._next = self._next, None
            return message

    def _done(self, message: Telling, why: str | None) -> None:
        with self._changed:
            self._note(why)
            if why is None:
                self._failures = self._tries = 0
                return
            pause = self._pauses_s[min(self._failures, len(self._pauses_s) - 1)]
            self._failures += 1
            self._not_before = time.monotonic() + pause
            if isinstance(message, Reshoot):
                if message.tries + 1 < TRIES and not self._closing:
                    self._reshoots.appendleft(replace(message, tries=message.tries + 1))
                return
            if self._next is not None:
                self._next = self._next.instead_of(message)
                return
            self._tries += 1
            if self._tries < TRIES and not self._closing:
                self._next = replace(message, due_s=0.0)

    def _note(self, why: str | None) -> None:
        said = f"{self.channel.name} {why}" if why else ""
        if said and said != self.failing:
            _log.warning("alerts: %s", said)
        elif self.failing and not said:
            _log.warning("alerts: %s works again", self.channel.name)
        self.failing = said
