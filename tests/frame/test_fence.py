"""Whatever the metadata's reader does, the frame goes on, the reader is anew, and it is said."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import psutil
import pytest

from tests.frame.test_tags import SHOT
from tests.pictures import grey, jpeg
from tests.session.made import until
from tether.frame.fence import Fence
from tether.frame.guarded import Closed
from tether.frame.tags import Tags
from tether.frame.wire import Request

ROOT = Path(__file__).parents[2]
GOOD = Request(jpeg(grey(), SHOT), "bowl.jpg", 512, 512)

# Readers gone wrong, each in its own way, once they were asked.
_BEGUN = (
    f"import os, sys, time; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
    "from io import FileIO\nfrom tether.frame import wire\n"
    "asked, answers = FileIO(0), FileIO(1, 'w')\nwire.send(answers, b'ready')\n"
    "wire.receive_request(asked)\n"
)
CRASHES = _BEGUN + "os.abort()"
HANGS = _BEGUN + "time.sleep(60)"
SPINS = _BEGUN + "while True: pass"
BABBLES = _BEGUN + "wire.send(answers, b'[1, 2'); time.sleep(60)"
BOASTS = _BEGUN + "answers.write(b'\\x7f' * 8); time.sleep(60)"
LIES = _BEGUN + """wire.send(answers, b'{"spent": false, "tags": {"orientation": "up"}}')"""
NEVER_READY = "import time; time.sleep(0.1)"


@pytest.fixture
def fence() -> Iterator[Fence]:
    made = Fence(seconds=1.0)
    yield made
    made.close()


def gone_wrong(code: str, seconds: float = 0.3) -> Tags:
    fence = Fence(seconds, [sys.executable, "-c", code])
    try:
        return fence.read(GOOD)
    finally:
        fence.close()


def stopped(pid: int) -> None:
    os.kill(pid, signal.SIGSTOP)
    until(lambda: psutil.Process(pid).status() == psutil.STATUS_STOPPED)


def gone(pid: int) -> bool:
    try:
        return bool(psutil.Process(pid).status() == psutil.STATUS_ZOMBIE)
    except psutil.NoSuchProcess:
        return True


def test_it_reads_what_is_read_without_it(fence: Fence) -> None:
    found = fence.read(GOOD)
    assert (found.orientation, found.subject) == (6, (300, 200, 80, 60))
    assert found.exposure.lens == "Studio 85mm f/1.8"
    first = fence.pid
    assert fence.read(GOOD) == found
    assert (fence.pid, fence.restarts) == (first, 0)


@pytest.mark.parametrize(
    ("code", "why"),
    [
        (CRASHES, "brought its reader down"),
        (HANGS, "took longer than 0.3 s to read"),
        (SPINS, "took longer than 0.3 s to read"),
        (BABBLES, "answered nonsense"),
        (BOASTS, "brought its reader down"),
        (LIES, "answered nonsense"),
        (NEVER_READY, "does not start"),
        ("not python", "does not start"),
    ],
)
def test_a_reader_gone_wrong_costs_the_metadata_alone(code: str, why: str) -> None:
    found = gone_wrong(code)
    assert why in found.problems[0]
    assert found.problems[0].endswith("judged without it")
    assert found == Tags(problems=found.problems)


def test_a_reader_that_cannot_be_started_is_said_and_not_tried_for_each_frame() -> None:
    fence = Fence(command=["/not/there"])
    found = {fence.read(GOOD).problems for _ in range(100)}
    assert found == {("its metadata cannot be read: its reader does not start: judged without it",)}


def test_one_that_is_stopped_is_late_and_the_next_file_has_another(fence: Fence) -> None:
    whole = fence.read(GOOD)
    assert fence.pid is not None
    stopped(first := fence.pid)
    assert "took longer than 1 s" in fence.read(GOOD).problems[0]
    assert gone(first)
    assert fence.read(GOOD) == whole
    assert fence.restarts == 1


def test_one_killed_over_a_file_is_replaced_and_the_file_read(fence: Fence) -> None:
    whole = fence.read(GOOD)
    assert fence.pid is not None
    stopped(first := fence.pid)
    threading.Timer(0.2, os.kill, (first, signal.SIGKILL)).start()
    assert fence.read(GOOD) == whole
    assert fence.restarts == 1


def test_a_large_file_is_not_stuck_before_a_reader_that_does_not_read(fence: Fence) -> None:
    fence.read(GOOD)
    assert fence.pid is not None
    stopped(fence.pid)
    large = Request(b"II*\0" + bytes(20_000_000), "bowl.tif", 512, 512)
    assert "took longer than 1 s" in fence.read(large).problems[0]


def test_one_that_hangs_delays_no_other(tmp_path: Path) -> None:
    begun = tmp_path / "begun"
    code = (
        f"import pathlib, sys, time; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
        "from tether.frame import fenced, tags\n"
        "read = tags.read\n"
        "def hanging(data, *size):\n"
        f"    if size[0] == 511: pathlib.Path({str(begun)!r}).touch(); time.sleep(600)\n"
        "    return read(data, *size)\n"
        "tags.read = hanging\nfenced.serve(5.0)"
    )
    fence = Fence(5.0, [sys.executable, "-c", code])
    with ThreadPoolExecutor(1) as pool:
        hanging = pool.submit(fence.read, replace(GOOD, width=511))
        until(begun.exists)
        for _ in range(3):
            assert fence.read(GOOD).orientation == 6
            assert not hanging.done()
        fence.close()
        with pytest.raises(Closed):
            hanging.result()


def test_threads_take_turns(fence: Fence) -> None:
    whole = fence.read(GOOD)
    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(lambda _: fence.read(GOOD) == whole, range(200))) == {True}
    assert fence.restarts == 0


def test_a_large_file_leaves_the_reader_as_it_was(fence: Fence) -> None:
    fence.read(GOOD)
    large = Request(b"II*\0" + bytes(150_000_000), "bowl.tif", 512, 512)
    for _ in range(3):
        fence.read(large)
    assert fence.restarts == 0


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="held to its memory on Linux alone")
def test_a_file_that_asks_for_too_much_memory_gets_none() -> None:
    code = (
        f"import sys; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
        "from tether.frame import fenced, tags\n"
        "def greedy(*asked): return bytearray(300_000_000)\n"
        "tags.read = greedy\nfenced.serve(2.0)"
    )
    assert "asked for more than 200 MB" in gone_wrong(code, 5.0).problems[0]


def test_a_failure_that_nobody_foresaw_costs_the_metadata_and_not_the_reader() -> None:
    code = (
        f"import sys; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
        "from tether.frame import fenced, tags\n"
        "read = tags.read\n"
        "def failing(data, *size): return read(data, *size) if size[0] == 512 else {}['hue']\n"
        "tags.read = failing\nfenced.serve(2.0)"
    )
    fence = Fence(5.0, [sys.executable, "-c", code])
    try:
        problems = fence.read(replace(GOOD, width=511)).problems
        assert problems == ("its metadata could not be read: judged without it",)
        first = fence.pid
        assert fence.read(GOOD).orientation == 6
        assert (fence.pid, fence.restarts) == (first, 0)
    finally:
        fence.close()


def test_what_it_prints_goes_to_the_log_and_not_to_the_screen(
    capfd: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("INFO", "tether.frame.reader")
    fence = Fence()
    # exiv2 complains of this on standard error: the tag's value lies beyond the file.
    cut = GOOD.data[:2] + b"\xff\xe1" + (40).to_bytes(2, "big") + b"Exif\0\0MM\0*\0\0\0\x08\0\1"
    cut += b"\x01\x0f\0\2\0\0\xff\xff\0\1\0\0" + bytes(20) + GOOD.data[2:]
    fence.read(Request(cut, "bowl.jpg", 512, 512))
    until(lambda: "out of bounds" in caplog.text)
    fence.close()
    assert capfd.readouterr() == ("", "")


PARENT = f"""
import sys, time
sys.path[:] = {[str(ROOT), *sys.path]!r}
from tests.frame.test_fence import GOOD, HANGS
from tether.frame.fence import Fence
from tether.frame.guarded import Closed
fence = Fence()
fence.read(GOOD)
print(fence.pid, flush=True)
time.sleep(60)
"""


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
def test_it_is_gone_when_whoever_started_it_is(how: signal.Signals) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", PARENT], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as parent:
        assert parent.stdout is not None
        child = int(parent.stdout.readline())
        assert not gone(child)
        parent.send_signal(how)
        parent.wait()
        until(lambda: gone(child))


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="no timer of this kind here")
def test_one_that_hangs_with_nobody_left_ends_itself() -> None:
    code = (
        f"import sys; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
        "from tether.frame.limits import Limits\n"
        "Limits().begin(0.3, 0)\nsum(range(10**12))"
    )
    begun = time.monotonic()
    done = subprocess.run([sys.executable, "-c", code])
    assert done.returncode == -signal.SIGALRM
    assert time.monotonic() - begun < 30
