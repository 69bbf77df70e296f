"""Draws the dashboard on the rehearsal's frames: `python -m tests.dashboard.picture FILE.svg`.

The frames are rendered, but all that is shown of them is what the program judges.
"""

from __future__ import annotations

import argparse
import asyncio
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from mocks.shoot import SHOOT, render
from tests.dashboard.demo import BEGAN
from tests.dashboard.looking import eventually
from tests.dashboard.svg import tidied
from tether.dashboard.app import Dashboard
from tether.judge import Asked, judge_whole, warm
from tether.session.lock import Lock
from tether.session.record import Entry, Record, Stamp
from tether.settings import load

# Up to the second portrait, with the focus on the pots before her; the last two came just now.
SHOTS = list(SHOOT[: [shot.name for shot in SHOOT].index("maker-0002.jpg") + 1])
_APART = timedelta(seconds=9)


def judged(folder: Path, count: int) -> Iterator[Entry]:
    """Render the last `count` of the shots into the folder, and judge them as a watch would."""
    settings = load("portrait")
    warm()
    for number, shot in enumerate(SHOTS[-count:]):
        path = folder / shot.name
        path.write_bytes(render(shot))
        arrived = BEGAN + number * _APART
        found = judge_whole(Asked(path, path.stem, arrived, time.monotonic(), folder), settings)
        assert found.content is not None
        late = timedelta(milliseconds=found.judgement.latency_ms)
        judgement = replace(found.judgement, judged=arrived + late)
        yield Entry(judgement, Path(shot.name), Stamp(*found.content))


async def draw(to: Path, size: tuple[int, int] = (140, 40), count: int = len(SHOTS)) -> None:
    """Write the screen at `size` (columns, lines), with soft frames that just came in, to `to`."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "pottery"
        folder.mkdir()
        record = Record(folder)
        entries = list(judged(folder, count))
        for entry in entries[:-2]:
            record.add(entry)
        app = Dashboard(folder, bell=False)
        with Lock(folder):
            async with app.run_test(size=size) as pilot:
                await eventually(lambda: app.band.shown is not None)
                for entry in entries[-2:]:
                    record.add(entry)
                last = entries[-1].judgement.frame
                await eventually(
                    lambda: (
                        app.state_line.watched
                        and app.band.shown
                        and app.band.shown.name == last
                        and app.focus_area.grey is not None
                    )
                )
                await pilot.pause(0.3)
                svg = app.export_screenshot(title="tether")
        record.close()
    to.parent.mkdir(parents=True, exist_ok=True)
    to.write_text(tidied(svg.replace(place, "~")), encoding="utf-8")


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("to", type=Path)
    parser.add_argument("--size", default="140x40")
    asked = parser.parse_args()
    columns, lines = map(int, asked.size.split("x"))
    asyncio.run(draw(asked.to, (columns, lines)))


if __name__ == "__main__":
    main()
