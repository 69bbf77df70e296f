"""A watch whose record is true to its folder."""

from __future__ import annotations

from pathlib import Path

from tests.pictures import write
from tests.session import oracle
from tests.session.running import Begin, Running
from tether.frame import kinds


def agrees(running: Running) -> None:
    """Wait until the record is true to what lies in the folder."""
    thread = running.thread
    assert thread is not None
    wrong = oracle.settle(running.folder, lambda: oracle.faults(running.folder), thread.is_alive)
    assert not wrong, "\n".join(wrong)


def judged(folder: Path, watched: Begin, *names: str) -> Running:
    """A watch that has judged a picture of each of these names, different ones, in this order."""
    running = watched(oracle.settings())
    files = {
        name: (oracle.raws() if kinds.is_raw(Path(name)) else oracle.pictures())[nth]
        for nth, name in enumerate(names)
    }
    for name, content in files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        write(folder / name, content)
        agrees(running)
    return running
