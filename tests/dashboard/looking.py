"""Looking at a running dashboard, and waiting for what it shows."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable

from tether.dashboard.app import Dashboard
from tether.dashboard.keys import Keys


def lines(app: Dashboard) -> list[str]:
    """The whole screen as text, one string a line."""
    strips = app.screen._compositor.render_strips(app.size)
    return ["".join(segment.text for segment in strip) for strip in strips]


def screen(app: Dashboard) -> str:
    """The whole screen as text."""
    return "\n".join(lines(app))


def keys(app: Dashboard) -> str:
    """The keys that the screen shows, which may take more than one line."""
    part = app.screen.query_one(Keys).region
    return "".join(lines(app)[part.y : part.bottom])


async def eventually(true: Callable[[], object], within_s: float = 5.0) -> float:
    """Wait until `true()` is; return for how many seconds that took."""
    began = time.perf_counter()
    while not true():
        if time.perf_counter() - began > within_s:
            raise AssertionError("it never came true")
        await asyncio.sleep(0.01)
    return time.perf_counter() - began
