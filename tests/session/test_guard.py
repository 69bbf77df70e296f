"""What fails for one frame is that frame's verdict; the watch goes on for the others."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.pictures import write
from tests.session import oracle
from tests.session.made import until
from tests.session.running import Begin
from tether.frame import file
from tether.model import Verdict
from tether.session.drifts import Drifts
from tether.session.placing import Placing
from tether.session.plan import Plan
from tether.session.record import Record
from tether.session.saving import Saving

WHY = "the cat is on the keyboard"


def failing(step: Callable[..., Any], name: str) -> Callable[..., Any]:
    """The same step, but for whatever is asked of a file or frame of this name."""

    def step_or_not(*told: object, **more: object) -> object:
        if any(name in str(one) for one in told[1:]):
            raise RuntimeError(WHY)
        return step(*told, **more)

    return step_or_not


# Without the last two nothing can be recorded of a frame: then it is told, at least.
@pytest.mark.parametrize(
    ("whose", "step", "recorded"),
    [
        (Placing, "arrived", True),
        (Drifts, "taken", True),
        (Plan, "of", False),
        (Saving, "keep", False),
    ],
)
def test_a_frame_for_which_a_step_fails_is_unjudged_and_the_others_are_judged(
    folder: Path,
    watched: Begin,
    monkeypatch: pytest.MonkeyPatch,
    whose: type,
    step: str,
    recorded: bool,
) -> None:
    monkeypatch.setattr(whose, step, failing(getattr(whose, step), "bowl-2"))
    running = watched(oracle.settings())
    thread = running.thread
    assert thread is not None
    for nth in range(5):
        write(folder / f"bowl-{nth}.jpg", oracle.pictures()[nth])
    until(lambda: len({*running.names()}) == 5 or not thread.is_alive())
    assert thread.is_alive()
    write(folder / "bowl-5.jpg", oracle.pictures()[5])  # once it has happened
    until(lambda: "bowl-5" in running.names())
    told = {one.frame: one for one in running.told}
    lame = told.pop("bowl-2")
    assert lame.verdict is Verdict.UNJUDGED
    assert WHY in (lame.error or "")
    assert {one.verdict for one in told.values()} == {Verdict.SHARP, Verdict.SOFT}
    assert not any(one.error for one in told.values())
    running.end()
    rows = {str(row.path): row.found for row in oracle.recorded(folder)}
    found = rows.pop("bowl-2.jpg", None)
    if recorded:
        assert found is not None
        assert found.verdict == "unjudged"
        assert WHY in (found.error or "")
    assert rows.keys() == {f"{name}.jpg" for name in told}
    assert all(one.width_px for one in rows.values())


def test_a_file_that_is_never_what_was_seen_is_unreadable_in_the_end(
    folder: Path, watched: Begin, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As on a share that tells another size than it gives.
    read = file.read

    def changing(path: Path, *told: Any, **more: Any) -> file.Content:
        if path.name == "bowl-0.jpg":
            raise file.Changing("it changed while it was read")
        return read(path, *told, **more)

    monkeypatch.setattr(file, "read", changing)
    running = watched(oracle.settings())
    for nth in range(2):
        write(folder / f"bowl-{nth}.jpg", oracle.pictures()[nth])
    until(lambda: len(running.told) == 2)
    told = {one.frame: one for one in running.told}
    assert told["bowl-0"].error == "it changed while it was read"
    assert told["bowl-1"].verdict is Verdict.SOFT


def test_a_verdict_that_cannot_be_written_keeps_no_other_waiting(
    folder: Path, watched: Begin, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Record, "add", failing(Record.add, "bowl-0"))
    running = watched(oracle.settings())
    for nth in range(3):
        write(folder / f"bowl-{nth}.jpg", oracle.pictures()[nth])
    until(lambda: len({*running.names()}) == 3)
    running.end()
    assert {str(row.path) for row in oracle.recorded(folder)} == {"bowl-1.jpg", "bowl-2.jpg"}
