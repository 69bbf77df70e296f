"""The metadata reader's own process: it may crash, hang or bloat, and nothing else is lost.

Started by `reader`, never imported by the rest. It ends when its pipe closes, however whoever
started it ended, and by the system's clock if it hangs at that moment.
"""

from __future__ import annotations

import json
import logging
import os
from dataclasses import asdict
from io import FileIO
from typing import Any

from tether.frame import tags, wire
from tether.frame.limits import GROWTH_BYTES, Limits
from tether.frame.same_file import Changed, same

_log = logging.getLogger(__name__)

READY = b"ready"
GRACE_S = 1.0
"""After which we end ourselves: whoever waits does so first, if it is there."""


def serve(seconds: float, growth: int = GROWTH_BYTES) -> None:
    """Answer requests until the pipe closes; each may take so many seconds and bytes."""
    asked, answers = own_pipes()
    import exiv2  # loaded before memory is counted

    exiv2.XmpParser.initialize()
    limits = Limits(growth)
    try:
        wire.send(answers, READY)
        while True:
            request = wire.receive_request(asked)
            more = request.file.size if request.file else len(request.data)
            limits.begin(seconds + GRACE_S, more)
            answer = _answer(request)
            del request  # or a large file would count as memory that was not given back
            limits.end()
            answer["spent"] = answer.get("spent", False) or limits.spent
            # Makers' text may be of any coding: what is no text becomes question marks.
            text = json.dumps(answer, ensure_ascii=False)
            wire.send(answers, text.encode("utf-8", "replace"))
    except (EOFError, BrokenPipeError):
        os._exit(0)


def _answer(request: wire.Request) -> dict[str, Any]:
    size = request.width, request.height
    try:
        found = _tags(request, size)
        if request.sidecar is not None:
            found = tags.with_sidecar(found, request.sidecar, request.picture, *size)
    except MemoryError:
        return {"tags": None, "spent": True}
    except Changed:
        return {"tags": None, "changed": True}
    except Exception:  # a library and we ourselves, over what a stranger wrote
        _log.exception("reading metadata failed")
        return {"tags": None, "failed": True}
    return {"tags": asdict(found)}


def _tags(request: wire.Request, size: tuple[int, int]) -> tags.Tags:
    if request.file is None:
        return tags.read(request.data, *size, request.full)
    with same(request.file) as name:
        return tags.read(name, *size, request.full)


def own_pipes() -> tuple[FileIO, FileIO]:
    """Take our pipes away from standard input and output: what a library prints goes to the log."""
    asked, answers = os.dup(0), os.dup(1)
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    os.close(nothing)
    os.dup2(2, 1)
    return FileIO(asked, "rb"), FileIO(answers, "wb")
