"""A stranger's metadata is read in a process of its own, and a frame does without where that fails.

It goes through a large C++ library. Whatever it does there, the frame is judged on with what is
left, and a sentence says so.
"""

from __future__ import annotations

import json
import logging
from dataclasses import replace
from functools import cache

from pydantic import TypeAdapter, ValidationError

from tether.frame import wire
from tether.frame.guarded import Guarded
from tether.frame.limits import GROWTH_BYTES
from tether.frame.pool import Pool
from tether.frame.reader import Died, Late, NotStarted
from tether.frame.tags import Tags

_log = logging.getLogger(__name__)

SECONDS = 2.0
"""What one file's metadata may take."""


class Fence(Pool):
    """Processes for all threads: a file takes one about a millisecond.

    Parameters
    ----------
    seconds
        What one file may take.
    command
        What to run instead of the metadata reader, for trying out how it can go wrong.
    """

    def __init__(self, seconds: float = SECONDS, command: list[str] | None = None) -> None:
        super().__init__("tether.frame.fenced", seconds, command)

    def read(self, request: wire.Request) -> Tags:
        """Read a picture's metadata; whatever goes wrong is a sentence in `Tags.problems`.

        Raises
        ------
        Closed
            The program ends.
        """
        with self.lend() as process:
            try:
                return self._asked(process, request)
            except Late:
                return _without(f"took longer than {self.seconds:g} s to read")
            except Died:
                return _without("brought its reader down")
            except NotStarted:
                return _without("cannot be read: its reader does not start")

    def _asked(self, process: Guarded, request: wire.Request) -> Tags:
        answer = process.ask(lambda pipe: wire.send_request(pipe, request), wire.receive_answer)
        return self._tags(process, answer, request)

    def _tags(self, process: Guarded, answer: bytearray, request: wire.Request) -> Tags:
        try:
            told = json.loads(answer)
            if told["spent"]:
                process.anew()
            if told.get("changed") and request.file is not None:
                return self._asked(process, replace(request, file=None))
            if told.get("failed"):
                return _without("could not be read")
            if told["tags"] is None:
                return _without(f"asked for more than {GROWTH_BYTES // 10**6} MB")
            return _form().validate_python(told["tags"])
        except (ValueError, ValidationError, KeyError, TypeError) as problem:
            _log.info("the metadata reader answered nonsense: %s", problem)
            process.anew()
            return _without("cannot be told: its reader answered nonsense")


def _without(why: str) -> Tags:
    return Tags(problems=(f"its metadata {why}: judged without it",))


@cache
def _form() -> TypeAdapter[Tags]:
    return TypeAdapter(Tags)
