"""Draws the dashboard of a demonstration session as an SVG: python -m tests.dashboard.picture."""

from __future__ import annotations

import argparse
import asyncio
import tempfile
from pathlib import Path

from tests.dashboard.demo import drifting
from tests.dashboard.looking import eventually, screen
from tests.dashboard.svg import tidied
from tether.dashboard.app import Dashboard
from tether.session.lock import Lock
from tether.session.record import Record, WatchState


async def draw(to: Path, size: tuple[int, int] = (160, 48), frames: int = 46) -> None:
    """Write the screen at `size` (columns, lines), with soft frames that just came in, to `to`."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "bowls"
        folder.mkdir()
        record = Record(folder)
        entries = list(drifting(frames))
        for entry in entries[:-2]:
            record.add(entry)
        record.tell(WatchState(waiting=1))
        app = Dashboard(folder, bell=False)
        with Lock(folder):
            async with app.run_test(size=size) as pilot:
                await eventually(lambda: app.band.shown is not None)
                for entry in entries[-2:]:
                    record.add(entry)
                last = entries[-1].judgement
                await eventually(
                    lambda: (
                        app.state_line.watched
                        and app.band.shown
                        and app.band.shown.name == last.frame
                        and last.advice[0][:20] in screen(app)
                        and app.focus_area.grey is not None
                    )
                )
                await pilot.pause()
                svg = app.export_screenshot(title="tether")
        record.close()
    to.parent.mkdir(parents=True, exist_ok=True)
    to.write_text(tidied(svg.replace(place, "~")), encoding="utf-8")


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("to", type=Path)
    parser.add_argument("--size", default="160x48")
    parser.add_argument("--frames", type=int, default=46)
    asked = parser.parse_args()
    columns, lines = map(int, asked.size.split("x"))
    asyncio.run(draw(asked.to, (columns, lines), asked.frames))


if __name__ == "__main__":
    main()
