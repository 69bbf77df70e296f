"""What alert channels cost the frames judged meanwhile: next to nothing, however bad they are.

`python -m tests.benchmarks.alerts` prints a table, in some two minutes.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.alerts.programs import hanging, written
from tests.alerts.server import receiving, silent
from tests.pictures import jpeg, portrait
from tests.session.made import until

FRAMES = 20
ROUNDS = 2
PACE_S = 0.3


def main() -> None:
    """Print the latencies of soft frames, each of them alerted, beside such and such a channel."""
    with tempfile.TemporaryDirectory() as made, receiving() as received, silent() as port:
        place = Path(made)
        flooding = written(place, "flood.py", "while True: os.write(1, b'x' * 65536)")
        cases: dict[str, dict[str, list[str]]] = {
            "no alerts": {},
            "a command that ends at once": {"command": ["true"]},
            "one that hangs": {"command": [hanging(place)]},
            "one that floods": {"command": [flooding]},
            "a service that answers": {"notify": [f"json://127.0.0.1:{received.port}"]},
            "one that never does": {"notify": [f"json://127.0.0.1:{port}"]},
        }
        found: dict[str, list[float]] = {name: [] for name in cases}
        # In turn, so that a machine whose speed drifts is fair to all of them.
        for nth in range(ROUNDS):
            for name, alerts in cases.items():
                found[name] += latencies(place, f"{name} {nth}", alerts)
    print(f"{ROUNDS * FRAMES} soft frames, one in {PACE_S} s, latency in ms:  median   95 %    max")
    for name, times in found.items():
        late = sorted(times)[int(0.95 * len(times))]
        print(f"  {name:<46} {statistics.median(times):8.0f} {late:6.0f} {max(times):6.0f}")
    print(f"  notifications that arrived: {len(received.bodies)}")


def latencies(place: Path, name: str, alerts: dict[str, list[str]]) -> list[float]:
    """Run a watch, feed it, and return each frame's latency, ms."""
    folder = place / name
    folder.mkdir()
    own = place / "own.toml"
    keys = [f"{key} = {json.dumps(value)}" for key, value in alerts.items()]
    own.write_text("\n".join(["[alerts]", "at_most_every_s = 0", *keys]))
    soft = jpeg(portrait(blur_sigma=4))
    command = [
        sys.executable,
        "-m",
        "tether",
        "watch",
        "--headless",
        "--json",
        "--config",
        str(own),
    ]
    lines = place / f"{name}.jsonl"
    with (
        lines.open("w") as out,
        subprocess.Popen([*command, folder], stdout=out, stderr=subprocess.DEVNULL) as running,
    ):
        time.sleep(3)
        for nth in range(FRAMES):
            (folder / f"bowl-{nth:03}.jpg").write_bytes(soft)
            time.sleep(PACE_S)
        until(lambda: len(lines.read_text().splitlines()) == FRAMES)
        running.terminate()
    return [json.loads(line)["latency_ms"] for line in lines.read_text().splitlines()]


if __name__ == "__main__":
    main()
