"""Steps beside the screen's own thread: a share that hangs must not freeze the keys."""

from __future__ import annotations

import logging
from collections.abc import Callable
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

    def done() -> None:
        try:
            said = Done(step())
        except (SetupError, OverruleError, NoReference) as problem:
            said = Done(str(problem), refused=True)
        except RecordError as problem:
            said = Done(f"the record cannot be written: {problem}", refused=True)
        except Exception as problem:  # whatever it is, whoever waits must hear of it
            _log.exception("a step beside the screen failed")
            said = Done(f"that failed ({type(problem).__name__}: {problem})", refused=True)
        part.post_message(said)

    Thread(target=done, daemon=True).start()
