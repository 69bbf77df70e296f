"""Steps beside the screen's own thread: a share that hangs must not freeze the keys."""

from __future__ import annotations

import logging
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from threading import Thread

from textual.message import Message
from textual.message_pump import MessagePump

from tether.session.overrules import OverruleError
from tether.session.references import NoReference
from tether.session.schema import RecordError
from tether.session.setups import SetupError

_log = logging.getLogger(__name__)


@dataclass
class Done(Message, bubble=False):
    """A step is done: what to say of it; `refused` where it was not done, and `said` is why."""

    said: str
    refused: bool = False


def aside(part: MessagePump, step: Callable[[], str]) -> None:
    """Do a step in a thread of its own; `part` hears of it by `Done`.

    Parameters
    ----------
    part
        Who is told.
    step
        Returns what to say, or nothing.
    """

    def done() -> Message:
        try:
            return Done(step())
        except (SetupError, OverruleError, NoReference) as problem:
            return Done(str(problem), refused=True)
        except RecordError as problem:
            return Done(f"the record cannot be written: {problem}", refused=True)

    in_thread(part, done, lambda words: Done(words, refused=True))


def in_thread(
    part: MessagePump, step: Callable[[], Message], failed: Callable[[str], Message]
) -> None:
    """Do a step in a thread of its own, and post what it returns to `part`.

    Whatever becomes of it, `part` hears of it: it may wait for nothing else meanwhile.

    Parameters
    ----------
    part
        Who is told.
    step
        Returns what to post.
    failed
        Makes what to post, of words, where the step fails in a way that it does not foresee.
    """

    def told() -> None:
        try:
            message = step()
        except Exception as problem:
            _log.exception("a step beside the screen failed")
            message = failed(f"that failed ({type(problem).__name__}: {problem})")
        with suppress(RuntimeError):  # the screen is gone
            part.post_message(message)

    try:
        Thread(target=told, daemon=True).start()
    except RuntimeError as problem:  # no more threads
        part.post_message(failed(f"that cannot be done now: {problem}"))
