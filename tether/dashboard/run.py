"""Runs the dashboard and gives the terminal back, whatever happened."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable
from pathlib import Path

from tether.dashboard.app import Dashboard
from tether.dashboard.graphics import probe
from tether.dashboard.invitation import Invitation
from tether.dashboard.terminal import asked_to_leave, driver, restored, screen_file


def run(
    folder: Path,
    *,
    bell: bool = True,
    in_danger_only: bool = True,
    reshoot_bell: bool = True,
    ends_watch: bool = False,
    notice: Callable[[], str | None] | None = None,
    second_screen: Callable[[], Invitation] | None = None,
) -> int:
    """Show the session of `folder` until somebody leaves.

    Parameters
    ----------
    folder, bell, in_danger_only, reshoot_bell, ends_watch, notice, second_screen
        As `Dashboard` takes them.

    Returns
    -------
    int
        0 after the key that leaves, 128 + n after signal n, 2 where there is no terminal, and 1
        after a failure, whose traceback is on standard error.
    """
    file = screen_file()
    if file is None or sys.__stdin__ is None or not sys.__stdin__.isatty():
        print("the dashboard needs a terminal", file=sys.stderr)
        return 2
    try:
        with restored(file):
            app = Dashboard(
                folder,
                bell=bell,
                in_danger_only=in_danger_only,
                reshoot_bell=reshoot_bell,
                ends_watch=ends_watch,
                notice=notice,
                graphics=probe(),
                second_screen=second_screen,
                driver_class=driver(file),
            )
            with asked_to_leave(app.leave):
                left = app.run()
    except Exception:
        traceback.print_exc()
        return 1
    return (app.return_code or 1) if left is None else left
