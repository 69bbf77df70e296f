"""A line to type in; what is pasted is looked at before it is taken."""

from __future__ import annotations

from dataclasses import dataclass

from textual import events
from textual.message import Message
from textual.widgets import Input

from tether.dashboard.palette import GROUND, LIFTED, PAPER, QUIET
from tether.plain import plain


class Entry(Input):
    """One line of text. Its cursor stands still: nothing on this screen blinks."""

    DEFAULT_CSS = f"""
    Entry, Entry:focus {{
        height: 1; border: none; padding: 0; background: {GROUND}; color: {PAPER};
        background-tint: {GROUND} 0%;
    }}
    Entry:focus {{ background: {LIFTED}; }}
    Entry > .input--cursor {{ background: {PAPER}; color: {GROUND}; text-style: none; }}
    Entry > .input--placeholder {{ color: {QUIET}; }}
    Entry:ansi {{ background: ansi_default; color: ansi_default; }}
    Entry:ansi > .input--cursor {{
        background: ansi_default; color: ansi_default; text-style: reverse;
    }}
    Entry:ansi > .input--placeholder {{ color: ansi_default; }}
    """

    @dataclass
    class Refused(Message):
        """What was pasted was not taken; why, in words."""

        words: str

    def __init__(self, value: str = "", placeholder: str = "") -> None:
        super().__init__(value, placeholder, select_on_focus=False, compact=True)
        self.cursor_blink = False

    def on_paste(self, event: events.Paste) -> None:
        """Take what is pasted, a line break as a blank; what does not show is refused."""
        event.stop()
        event.prevent_default()
        text = " ".join(event.text.split())
        if plain(text) != text:
            self.post_message(self.Refused("what was pasted holds control characters: not taken"))
            return
        self.insert_text_at_cursor(text)
