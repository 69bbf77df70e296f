"""A progress bar on standard error, where that is a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress(total: int) -> Iterator[Callable[[], None]]:
    """Give a function to call once for each finished frame; it does nothing off a terminal."""
    if total < 2 or not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

    console = Console(stderr=True)
    columns = (BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    # Lines printed on standard output go above the bar instead of through it.
    with Progress(*columns, console=console, transient=True, redirect_stderr=False) as bar:
        task = bar.add_task("judging", total=total)
        yield lambda: bar.advance(task)
