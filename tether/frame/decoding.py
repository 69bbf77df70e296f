"""The decoder's own process for raw and HEIF files: it may crash, hang or bloat, nothing is lost.

Started by `reader`, never imported by the rest. It ends when its pipe closes, and by the system's
clock if it hangs at that moment.
"""

from __future__ import annotations

import json
import logging
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from tether.frame import heif, raw, wire
from tether.frame.decoded import Decoded
from tether.frame.fenced import GRACE_S, READY, own_pipes
from tether.frame.file import Unreadable
from tether.frame.limits import Limits
from tether.frame.same_file import Changed, Proof, same
from tether.sharpness.curve import ToneCurve

_log = logging.getLogger(__name__)

GROWTH_BYTES = 600_000_000
"""What a file may ask for before its size in px is known: libraries, threads, the file itself."""


@dataclass(frozen=True, slots=True)
class _Answer:
    head: dict[str, Any]
    data: bytes | memoryview = b""


def serve(seconds: float) -> None:
    """Answer requests until the pipe closes; each may take so many seconds."""
    asked, answers = own_pipes()
    import pillow_heif  # noqa: F401 - loaded before memory is counted
    import rawpy  # noqa: F401

    limits = Limits(GROWTH_BYTES)
    try:
        wire.send(answers, READY)
        while True:
            told, data = json.loads(wire.receive(asked)), wire.receive(asked)
            limits.begin(seconds + GRACE_S, told["size"])
            answer = _answer(told, data, limits.allow)
            limits.end()
            del data  # or a large file would count as memory that was not given back
            wire.send(answers, json.dumps(answer.head).encode(), answer.data)
            del answer
            if limits.spent:
                os._exit(0)  # whoever asks next starts another
    except (EOFError, BrokenPipeError):
        os._exit(0)


def _answer(told: dict[str, Any], data: bytearray, allow: Callable[[int], None]) -> _Answer:
    try:
        if told["file"] is None:
            return _read(told["kind"], data, allow)
        with same(Proof(**told["file"])) as name:
            return _read(told["kind"], name, allow)
    except Changed:
        return _Answer({"changed": True})
    except Unreadable as problem:
        return _Answer({"error": str(problem)})
    except MemoryError:
        return _Answer({"error": "not enough memory to decode it, or it asks for too much"})
    except Exception as problem:  # libraries and we ourselves, over what a stranger wrote
        _log.exception("decoding failed")
        return _Answer({"error": f"decoding it failed ({type(problem).__name__}: {problem})"})


def _read(kind: str, source: str | bytearray, allow: Callable[[int], None]) -> _Answer:
    if kind == "heif":
        data = Path(source).read_bytes() if isinstance(source, str) else source
        return _decoded(heif.read(data, allow))
    found, width, height = raw.read(source, allow)
    full = [width, height]
    if isinstance(found, bytes):
        return _Answer({"jpeg": True, "full": full}, found)
    return _decoded(Decoded(found, "the raw's green samples", curve=ToneCurve.SRGB), full=full)


def _decoded(found: Decoded, **more: Any) -> _Answer:
    luma = np.ascontiguousarray(found.luma)
    head = {
        "shape": luma.shape,
        "bits": 8 * luma.itemsize,
        "said": found.said,
        "curve": found.curve,
        "orientation": found.orientation,
        **more,
    }
    return _Answer(head, luma.reshape(-1).view(np.uint8).data)
