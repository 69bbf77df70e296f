"""`tether rehearse`: a shoot without a camera, through the real watch and dashboard."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from tether.commands import options

if TYPE_CHECKING:
    import threading
    from collections.abc import Callable
    from pathlib import Path

    from tether.model import Judgement

# How long the last frames may take to be judged before the rehearsal ends without them.
_PATIENCE_S = 20.0


def rehearse(
    headless: options.Headless = False,
    as_json: options.Json = False,
) -> None:
    """Play a shoot without a camera through the real thing.

    Rendered frames with known faults land in a folder made for it, at a shooting pace. The folder
    is removed at the end.
    """
    import tempfile
    from pathlib import Path

    if as_json and not headless:
        raise typer.BadParameter("--json goes with --headless")
    from mocks.play import SHOT_LIST
    from tether.commands.shot_list import begun_with

    with tempfile.TemporaryDirectory(prefix="tether-rehearsal-") as made:
        begun_with(Path(made), SHOT_LIST)
        if headless:
            _without_a_screen(Path(made), as_json=as_json)
        else:
            raise typer.Exit(_on_the_dashboard(Path(made)))


def _without_a_screen(folder: Path, *, as_json: bool) -> None:
    import threading

    from tether.commands import watching
    from tether.settings import load

    settings = options.settings("portrait", None, None)
    told: list[str] = []
    watching.log_to_stderr(greet=False)
    with watching.stopped_by_signals() as stop:
        tellers: list[Callable[[Judgement], None]] = [
            watching.teller(as_json=as_json),
            lambda one: told.append(one.frame),
        ]
        shoot = threading.Thread(target=_shoot, args=(folder, stop, told), name="shoot")
        shoot.start()
        try:
            watching.watch_here(
                folder,
                settings,
                stop=stop,
                existing=True,
                told=tellers,
                alerted=watching.bell(settings),
                preset=load,
            )
        finally:
            stop.set()
            shoot.join()


def _shoot(folder: Path, stop: threading.Event, told: list[str]) -> None:
    """Fill the folder, wait until every frame was told of, and end the watch."""
    import time

    from mocks.rehearsal import fill

    try:
        written = fill(folder, stop=stop)
        deadline = time.monotonic() + _PATIENCE_S
        while len(told) < len(written) and time.monotonic() < deadline:
            if stop.wait(0.1):
                return
    finally:
        stop.set()


def _on_the_dashboard(folder: Path) -> int:
    import subprocess
    import sys

    from tether.commands.supervised import SupervisedWatch
    from tether.dashboard.run import run

    shoot = [sys.executable, "-m", "mocks.rehearsal", str(folder)]
    quiet = subprocess.DEVNULL
    with (
        SupervisedWatch(
            ["--preset", "portrait", "--existing", "--no-alerts", "--", str(folder)]
        ) as watch,
        subprocess.Popen(
            shoot, stdin=quiet, stdout=quiet, stderr=quiet, start_new_session=True
        ) as shooting,
    ):

        def notice() -> str | None:
            over = "the rehearsal is over; q leaves" if shooting.poll() is not None else None
            return watch.line() or over

        try:
            return run(folder, bell=True, notice=notice)
        finally:
            shooting.terminate()
