"""A program run beside the watch that can neither hang it, flood it, nor outlive it."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from contextlib import suppress
from dataclasses import dataclass

from tether.alerts import guard

MOST_BYTES = 1_000_000
"""What a program may print before it is ended."""

KEPT_BYTES = 4_000
"""How much of that is kept."""

# What the guard itself may take, beyond the program's time, before it is given up.
_GRACE_S = 5.0


@dataclass(frozen=True, slots=True)
class Report:
    """How a run ended: `why` is None after exit status 0, else what went wrong, in words."""

    why: str | None
    output: str = ""


class Guarded:
    """Runs programs one after the other; any thread may end the one that runs."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._running: subprocess.Popen[bytes] | None = None
        self._closed = False

    def run(
        self, command: list[str], given: str, *, seconds: float, environment: dict[str, str]
    ) -> Report:
        """Run `command` with `given` on its standard input, for `seconds` at most."""
        asked = {
            "command": command,
            "given": given,
            "seconds": seconds,
            "most_bytes": MOST_BYTES,
            "kept_bytes": KEPT_BYTES,
        }
        try:
            running = self._start(environment)
        except OSError as problem:
            return Report(f"cannot be started: {problem.strerror or problem}")
        if running is None:
            return Report("was ended: the watch is left")
        clock = threading.Timer(seconds + _GRACE_S, running.kill)
        clock.daemon = True
        clock.start()
        try:
            return _report(self._exchange(running, json.dumps(asked)), seconds)
        finally:
            self.end()
            running.wait()
            clock.cancel()

    def end(self) -> None:
        """End what runs, with all it started; the guard sees its input close and does so."""
        with self._lock:
            running, self._running = self._running, None
            if running is not None and running.stdin is not None:
                with suppress(OSError):
                    running.stdin.close()

    def close(self) -> None:
        """End what runs, and let nothing start any more."""
        self._closed = True
        self.end()

    def _start(self, environment: dict[str, str]) -> subprocess.Popen[bytes] | None:
        with self._lock:
            if self._closed:
                return None
            self._running = subprocess.Popen(
                [sys.executable, "-I", "-S", guard.__file__],
                bufsize=0,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                # The terminal's Ctrl-C is not for it. In a session of its own it would not be
                # nice to us: Linux shares the processor among sessions first (sched(7)).
                process_group=0,
                cwd="/",  # never the session's folder, where it might leave files by mistake
                env=environment,
            )
            return self._running

    def _exchange(self, running: subprocess.Popen[bytes], asked: str) -> bytes:
        assert running.stdin is not None
        assert running.stdout is not None
        left = memoryview(f"{asked}\n".encode())
        # A pipe without a buffer may take a part; a closed one is somebody's wish to end this.
        with suppress(OSError, ValueError):
            while left:
                left = left[running.stdin.write(left) or 0 :]
        with running.stdout:
            return running.stdout.read()


def _report(answer: bytes, seconds: float) -> Report:
    try:
        told = json.loads(answer)
        why, status = told["why"], told["status"]
        output, detail = str(told["output"]), told["detail"]
    except (ValueError, KeyError, TypeError):
        return Report("was ended from outside")
    if why == "refused":
        return Report(f"cannot be started: {detail}")
    if why == "late":
        return Report(f"took longer than {seconds:g} s and was ended", output)
    if why == "flood":
        return Report(f"printed more than {MOST_BYTES // 10**6} MB and was ended", output)
    if why != "ended":
        return Report("was ended: the watch is left", output)
    if status < 0:
        return Report(f"was ended by signal {-status}", output)
    return Report(f"ended with status {status}" if status else None, output)
