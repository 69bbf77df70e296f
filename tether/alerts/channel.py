"""A way to reach somebody, whatever carries it."""

from __future__ import annotations

from typing import Protocol

from tether.alerts.message import Message
from tether.alerts.reshoot import Reshoot

Telling = Message | Reshoot


class Channel(Protocol):
    """One way to reach somebody. One thread at a time sends; any thread may end that."""

    @property
    def name(self) -> str:
        """What it is called on a screen; holds no secret."""

    def send(self, message: Telling) -> str | None:
        """Deliver a message; why that failed, in words without a secret, or None."""

    def check(self) -> str | None:
        """Return why it could not deliver one, as far as that shows without sending, or None."""

    def end(self) -> None:
        """End what is under way; what comes after may still be sent."""

    def close(self) -> None:
        """End what is under way, and send nothing any more."""


def answers(channel: Channel, test: Message | None = None) -> str | None:
    """Return why a channel does not answer, as a sentence, or None if it does.

    Nothing is sent unless a message to test with is given: then that is delivered.
    """
    why = channel.check()
    if why is None and test is not None:
        why = channel.send(test)
    return None if why is None else f"{channel.name} {why}"
