"""Whatever a decoder's process does, the frame says why it is unreadable and the next is read."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from mocks.raw import dng, mosaic
from tests.frame.test_fence import ROOT, gone, stopped
from tests.pictures import jpeg, portrait
from tests.session.made import until
from tests.sharpness.pictures import light
from tether.frame.decoder import Decoder
from tether.frame.file import Unreadable
from tether.frame.guarded import Closed

RAW = dng(mosaic(light(portrait())[:100, :120]))
OTHER = dng(mosaic(light(portrait())[:90, :80]), jpeg(portrait()[:90, :80]))

# Decoders gone wrong, each in its own way, once they were asked.
_BEGUN = (
    f"import os, sys, time; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
    "from io import FileIO\nfrom tether.frame import wire\n"
    "asked, answers = FileIO(0), FileIO(1, 'w')\nwire.send(answers, b'ready')\n"
    "wire.receive(asked); wire.receive(asked)\n"
)
SIZED = b'{"shape": [90, 80], "bits": 8}'


@pytest.fixture
def decoder() -> Iterator[Decoder]:
    made = Decoder(seconds=5.0)
    yield made
    made.close()


@pytest.mark.parametrize(
    ("code", "why"),
    [
        (_BEGUN + "os.abort()", "it brought its decoder down"),
        (_BEGUN + "time.sleep(60)", "decoding it took longer than 0.3 s"),
        (_BEGUN + "while True: pass", "decoding it took longer than 0.3 s"),
        (_BEGUN + "wire.send(answers, b'[1, 2', b'')", "its decoder answered nonsense"),
        (_BEGUN + "wire.send(answers, b'{\"shape\": 7}', b'')", "its decoder answered nonsense"),
        (_BEGUN + f"wire.send(answers, {SIZED!r}, b'few')", "its decoder answered nonsense"),
        (_BEGUN + "wire.send(answers, b'{}'); answers.write(b'\\x7f' * 8)", "brought its decoder"),
        ("import time; time.sleep(0.1)", "the decoder does not start"),
        ("not python", "the decoder does not start"),
    ],
)
def test_a_decoder_gone_wrong_costs_the_frame_alone(code: str, why: str) -> None:
    made = Decoder(0.3, [sys.executable, "-c", code])
    try:
        with pytest.raises(Unreadable, match=why):
            made.decode("raw", RAW)
    finally:
        made.close()


def test_after_one_that_hung_the_next_is_read(decoder: Decoder) -> None:
    short = Decoder(seconds=1.0)
    try:
        assert short.decode("raw", RAW).luma.shape == (100, 120)
        assert short.pid is not None
        stopped(first := short.pid)
        with pytest.raises(Unreadable, match="longer than 1 s"):
            short.decode("raw", RAW)
        assert gone(first)
        assert short.decode("raw", OTHER).luma.shape == (90, 80)
    finally:
        short.close()


def hanging_over_raw(begun: Path, seconds: float) -> list[str]:
    """A decoder that hangs over `RAW` alone, and makes a file to say that it has begun to."""
    code = (
        f"import pathlib, sys, time; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
        "from tether.frame import decoding, raw\n"
        "read = raw.read\n"
        "def hanging(source, allow):\n"
        f"    if len(source) == {len(RAW)}: pathlib.Path({str(begun)!r}).touch(); time.sleep(600)\n"
        "    return read(source, allow)\n"
        f"raw.read = hanging\ndecoding.serve({seconds})"
    )
    return [sys.executable, "-c", code]


def test_one_that_hangs_delays_no_other(tmp_path: Path) -> None:
    made = Decoder(5.0, hanging_over_raw(begun := tmp_path / "begun", 5.0), idle_s=0.3)
    try:
        with ThreadPoolExecutor(1) as pool:
            hanging = pool.submit(made.decode, "raw", RAW)
            until(begun.exists)
            for _ in range(3):
                assert made.decode("raw", OTHER).luma.shape == (90, 80)
                assert not hanging.done()
            assert len(made.pids) == 2
            with pytest.raises(Unreadable, match="longer than 5 s"):
                hanging.result()
        until(lambda: len(made.pids) == 1)  # nobody needs a second one any more
        assert made.decode("raw", OTHER).luma.shape == (90, 80)
        assert len(made.pids) == 1
    finally:
        made.close()


def test_closed_it_waits_for_nothing_and_a_file_in_hand_is_not_unreadable(tmp_path: Path) -> None:
    made = Decoder(600.0, hanging_over_raw(begun := tmp_path / "begun", 600.0))
    with ThreadPoolExecutor(1) as pool:
        hanging = pool.submit(made.decode, "raw", RAW)
        until(begun.exists)
        (pid,) = made.pids
        made.close()
        with pytest.raises(Closed):
            hanging.result()
    until(lambda: gone(pid))
    with pytest.raises(Closed):
        made.decode("raw", OTHER)
    assert made.pids == []
    made.open()
    assert made.decode("raw", OTHER).luma.shape == (90, 80)
    made.close()


def test_one_killed_between_two_files_is_replaced(decoder: Decoder) -> None:
    decoder.decode("raw", RAW)
    assert decoder.pid is not None
    os.kill(decoder.pid, signal.SIGKILL)
    assert decoder.decode("raw", OTHER).luma.shape == (90, 80)


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="held to its memory on Linux alone")
def test_a_file_that_asks_for_too_much_memory_gets_none() -> None:
    code = (
        f"import sys; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
        "from tether.frame import decoding, raw\n"
        "def greedy(source, allow): return bytearray(800_000_000)\n"
        "raw.read = greedy\ndecoding.serve(5.0)"
    )
    made = Decoder(10.0, [sys.executable, "-c", code])
    try:
        with pytest.raises(Unreadable, match="asks for too much"):
            made.decode("raw", RAW)
    finally:
        made.close()


def test_a_failure_that_nobody_foresaw_costs_the_frame_and_not_the_decoder(
    caplog: pytest.LogCaptureFixture,
) -> None:
    caplog.set_level("INFO", "tether.frame.reader")
    code = (
        f"import sys; sys.path[:] = {[str(ROOT), *sys.path]!r}\n"
        "from tether.frame import decoding, raw\n"
        "read = raw.read\n"
        "def failing(source, allow): return read(source, allow) if len(source) % 2 else {}['hue']\n"
        "raw.read = failing\ndecoding.serve(5.0)"
    )
    made = Decoder(10.0, [sys.executable, "-c", code])
    try:
        even, odd = (RAW + bytes(len(RAW) % 2 + more) for more in (0, 1))
        with pytest.raises(Unreadable, match=r"decoding it failed \(KeyError: 'hue'\)"):
            made.decode("raw", even)
        first = made.pid
        assert made.decode("raw", odd).luma.shape == (100, 120)
        assert (made.pid, made.restarts) == (first, 0)
        until(lambda: "Traceback" in caplog.text)
    finally:
        made.close()


def test_a_file_read_by_its_path_is_the_one_that_was_meant(
    decoder: Decoder, tmp_path: Path
) -> None:
    path = tmp_path / "bowl.dng"
    wanted = decoder.decode("raw", RAW)
    path.write_bytes(RAW)
    assert np.array_equal(decoder.decode("raw", RAW, path).luma, wanted.luma)
    path.write_bytes(OTHER)
    assert np.array_equal(decoder.decode("raw", RAW, path).luma, wanted.luma)
    path.unlink()
    os.mkfifo(path)
    assert np.array_equal(decoder.decode("raw", RAW, path).luma, wanted.luma)
    path.unlink()
    assert np.array_equal(decoder.decode("raw", RAW, path).luma, wanted.luma)
    assert decoder.restarts == 0
