"""Runs one program under a limit of time and output, and ends it with all it started.

A script of its own that imports nothing of the house: it starts in some milliseconds, and it is
there to clean up when the watch is killed. Its first line of input says what to run, as JSON:
`command`, `given` (the program's standard input), `seconds`, `most_bytes`, `kept_bytes`. The end of
its input means that whoever asked is gone. It prints one JSON object: `why` (`ended`, `late`,
`flood` or `refused`), `status`, `output`, `detail`.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import IO, Any

_GONE = "gone"
_LAST_WORDS_S = 0.5


def run(asked: dict[str, Any], news: SimpleQueue[str]) -> dict[str, Any]:
    """Run the program to its end, or to the limit; nothing it started in its group lives on."""
    try:
        running = subprocess.Popen(
            asked["command"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            process_group=0,
        )
    except (OSError, ValueError) as problem:
        detail = getattr(problem, "strerror", None) or str(problem)
        return {"why": "refused", "status": None, "output": "", "detail": detail}
    assert running.stdin is not None
    assert running.stdout is not None
    kept = bytearray()
    _thread(_feed, running.stdin, asked["given"].encode())
    drain = _thread(_drain, running.stdout, kept, asked, news)
    _thread(_await, running, news)
    try:
        why = news.get(timeout=asked["seconds"])
    except Empty:
        why = "late"
    _end(running)
    drain.join(_LAST_WORDS_S)
    output = bytes(kept).decode("utf-8", "replace")
    return {"why": why, "status": running.wait(), "output": output, "detail": ""}


def _end(running: subprocess.Popen[bytes]) -> None:
    # The first process is not reaped yet, so its group's number cannot be another's by now.
    with suppress(ProcessLookupError, PermissionError):
        if hasattr(os, "killpg"):
            os.killpg(running.pid, signal.SIGKILL)
        else:
            running.kill()


def _feed(pipe: IO[bytes], given: bytes) -> None:
    with suppress(OSError), pipe:  # a program need not read what it is given
        pipe.write(given)


def _drain(pipe: IO[bytes], kept: bytearray, asked: dict[str, Any], news: SimpleQueue[str]) -> None:
    total = 0
    with suppress(OSError):
        while chunk := os.read(pipe.fileno(), 65536):
            kept += chunk[: max(0, asked["kept_bytes"] - len(kept))]
            total += len(chunk)
            if total > asked["most_bytes"]:
                news.put("flood")
                return


def _await(running: subprocess.Popen[bytes], news: SimpleQueue[str]) -> None:
    if hasattr(os, "waitid"):
        os.waitid(os.P_PID, running.pid, os.WEXITED | os.WNOWAIT)
    else:
        running.wait()
    news.put("ended")


def _hold(news: SimpleQueue[str]) -> None:
    while os.read(0, 4096):
        pass
    news.put(_GONE)


def _thread(target: Any, *arguments: object) -> threading.Thread:
    thread = threading.Thread(target=target, args=arguments, daemon=True)
    thread.start()
    return thread


def main() -> None:
    """Run what standard input asks for."""
    if hasattr(os, "nice"):
        os.nice(10)  # frames are judged first
    asked = json.loads(sys.stdin.buffer.readline())
    news: SimpleQueue[str] = SimpleQueue()
    _thread(_hold, news)
    with suppress(BrokenPipeError):
        print(json.dumps(run(asked, news)), flush=True)
    os._exit(0)  # a thread waits on standard input for ever


if __name__ == "__main__":
    main()
