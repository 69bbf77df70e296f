"""A step beside the screen always ends: whoever waits for it hears of it."""

from __future__ import annotations

import queue

from textual.message import Message
from textual.message_pump import MessagePump

from tether.dashboard.aside import Done, aside


class Part(MessagePump):
    """Keeps what it is told."""

    def __init__(self) -> None:
        super().__init__()
        self.heard: queue.Queue[Message] = queue.Queue()

    def post_message(self, message: Message) -> bool:
        self.heard.put(message)
        return True


def test_what_nobody_foresaw_is_told_too() -> None:
    def step() -> str:
        raise ZeroDivisionError("the cat is on the keyboard")

    part = Part()
    aside(part, step)
    said = part.heard.get(timeout=30)
    assert isinstance(said, Done)
    assert said.refused
    assert "the cat is on the keyboard" in said.said
