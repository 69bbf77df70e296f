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

from mocks.play import PLAY, SHOT_LIST
from tests.dashboard.demo import BEGAN
from tests.dashboard.looking import eventually
from tests.dashboard.studio import raise_reshoots
from tests.dashboard.svg import tidied
from tether.dashboard.app import Dashboard
from tether.judge import Asked, judge_whole, warm
from tether.session import references, setups, turns
from tether.session.lock import Lock
from tether.session.reader import Reader
from tether.session.record import Entry, Record
from tether.settings import load

# Up to the portrait by hand; the last two came just now. The reference was taken at its f-number.
SHOTS = list(PLAY[: [one.name for one in PLAY].index("maker-0006.jpg") + 1])
REFERENCE = "maker-0003"
_APART = timedelta(seconds=9)


def judged(folder: Path, count: int) -> Iterator[Entry]:
    """Render the last `count` of the shots into the folder, and judge them as a watch would.

    The shot list is put into the record, and turned to the setup of each shot.
    """
    settings = {one.name: load(one.preset) for one in SHOT_LIST}
    warm()
    ids = {one.name: setups.add(folder, one, "list") for one in SHOT_LIST}
    now = None
    for number, one in enumerate(SHOTS[-count:]):
        setup, path = one.setup, folder / one.name
        arrived = BEGAN + number * _APART
        path.write_bytes(one.file(arrived))
        if setup is not now:
            now = setup
            turns.turn(folder, ids[setup.name], "command", arrived.timestamp() - 1)
        asked = Asked(path, path.stem, arrived, time.monotonic(), folder)
        found = judge_whole(asked, settings[setup.name])
        assert found.file is not None
        late = timedelta(milliseconds=found.judgement.latency_ms)
        judgement = replace(found.judgement, judged=arrived + late, setup=setup.name)
        yield Entry(judgement, Path(one.name), found.file, found.digest, setup=ids[setup.name])


async def draw(to: Path, size: tuple[int, int] = (140, 40), count: int = len(SHOTS)) -> None:
    """Write the screen at `size` (columns, lines), with soft frames that just came in, to `to`."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "pottery"
        folder.mkdir()
        record = Record(folder)
        record.open()
        entries = list(judged(folder, count))
        for entry in entries[:-2]:
            record.add(entry)
        app = Dashboard(folder, bell=False)
        with Lock(folder):
            async with app.run_test(size=size) as pilot:
                await eventually(lambda: app.band.shown is not None)
                for entry in entries[-2:]:
                    record.add(entry)
                raise_reshoots(folder)
                sharp = next(row for row in Reader(folder).rows_since(0) if row.name == REFERENCE)
                references.choose(folder, sharp.id)
                last = entries[-1].judgement.frame
                await eventually(
                    lambda: (
                        app.state_line.watched
                        and app.band.shown
                        and app.band.shown.name == last
                        and app.focus_area.grey is not None
                        and app.parts.reference_area.grey is not None
                        and app.shots.progress == Reader(folder).progress()
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
