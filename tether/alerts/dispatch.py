"""Takes every verdict, and hands those that somebody is to be told of to the channels."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Self

from tether.alerts.channel import Channel
from tether.alerts.command import Command
from tether.alerts.message import Message
from tether.alerts.notification import Notification
from tether.alerts.outbox import Outbox
from tether.alerts.reshoot import Reshoot
from tether.alerts.rules import Rules
from tether.model import Judgement
from tether.session.coverage import Coverage
from tether.settings import Alerts

# A soft frame has its verdict at once and its cause a moment later; it is worth so long a wait.
_CAUSE_S = 1.5
_LEAVING_S = 2.0


def channels(asked: Alerts) -> list[Channel]:
    """The channels that the settings name."""
    found: list[Channel] = []
    if asked.command:
        found.append(Command(asked.command, asked.command_timeout_s))
    for number, url in enumerate(asked.notify, 1):
        found.append(Notification(url.get_secret_value(), number, picture=asked.picture))
    return found


class Dispatch:
    """Alerts of one watch while the context is open; nothing here waits for a channel.

    On leaving, what is under way gets two seconds.
    """

    def __init__(self, asked: Alerts, found: Sequence[Channel] | None = None) -> None:
        self._rules = Rules(asked)
        self._reshoot = asked.reshoot
        self._outboxes = [Outbox(one) for one in (channels(asked) if found is None else found)]

    def __enter__(self) -> Self:
        for outbox in self._outboxes:
            outbox.start()
        return self

    def __exit__(self, *_: object) -> None:
        deadline = time.monotonic() + _LEAVING_S
        for outbox in self._outboxes:
            outbox.close()
        for outbox in self._outboxes:
            outbox.join(deadline - time.monotonic())

    def verdict(self, judgement: Judgement, in_danger: bool = True) -> None:
        """Take in a frame that has its verdict; `in_danger` as for `Rules.hear`."""
        now = time.monotonic()
        due = self._rules.hear(judgement.verdict, now, in_danger=in_danger)
        if due is not None:
            message = Message(judgement, due.all_clear, due.more, now + _CAUSE_S)
            for outbox in self._outboxes:
                outbox.put(message)

    def whole(self, judgement: Judgement) -> None:
        """Take in a frame of which all is known that will be."""
        for outbox in self._outboxes:
            outbox.whole(judgement)

    def raised(self, setup: Coverage) -> None:
        """Take in a setup that was left without the sharp frames it needs."""
        for outbox in self._outboxes if self._reshoot else ():
            outbox.put_reshoot(Reshoot(setup))

    def failing(self) -> str:
        """Which channels fail, and why; empty if none does."""
        told = [outbox.failing for outbox in self._outboxes if outbox.failing]
        return "; ".join(told)
