"""`python -m tether.second_screen`: the page in a process of its own, for `tether watch`.

One line of JSON on standard input says what to serve; when that input ends, so does this. Each
line of JSON on standard output says how it is doing.
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
import threading
from pathlib import Path
from typing import Any

from tether.second_screen.address import CannotServe, Place, bound

AGAIN_S = 5.0


def main() -> int:
    """Serve until standard input ends; an address that cannot be had is tried again."""
    asked, ended = _asked(), threading.Event()
    place = _place(asked, ended)
    if place is None:
        return 0
    from tether.second_screen.serving import Now, Serving

    def told(now: Now) -> None:
        _tell(address=place.url, code=now.code, screens=now.screens)

    serving = Serving(
        Path(asked["folder"]),
        place,
        secret=bytes.fromhex(asked["secret"]),
        picture=asked["picture"],
        told=told,
    )

    def stop_at_the_end() -> None:
        ended.wait()
        serving.stop()

    threading.Thread(target=stop_at_the_end, daemon=True).start()
    serving.run()
    return int(serving.failed)


def _asked() -> dict[str, Any]:
    # Byte by byte, and not through sys.stdin: what follows is somebody else's to wait for.
    line = b""
    while not line.endswith(b"\n"):
        one = os.read(0, 1)
        if not one:
            sys.exit(0)
        line += one
    return dict(json.loads(line))


def _place(asked: dict[str, Any], ended: threading.Event) -> Place | None:
    threading.Thread(target=_until_closed, args=(ended,), daemon=True).start()
    while not ended.is_set():
        try:
            return bound(asked["host"], asked["port"])
        except CannotServe as problem:
            _tell(trouble=str(problem))
            ended.wait(AGAIN_S)
    return None


def _until_closed(ended: threading.Event) -> None:
    while os.read(0, 4096):
        pass
    ended.set()


def _tell(**words: object) -> None:
    # Should whoever started this be gone, standard input is about to say so.
    with contextlib.suppress(OSError):
        os.write(1, json.dumps(words).encode() + b"\n")


if __name__ == "__main__":
    sys.exit(main())
