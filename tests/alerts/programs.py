"""Small programs to hang on alerts, good and bad, and whether they still run."""

from __future__ import annotations

import sys
from pathlib import Path

import psutil


def written(folder: Path, name: str, text: str) -> str:
    """A Python program in a file of its own; its path."""
    path = folder / name
    path.write_text(f"#!{sys.executable}\nimport os, subprocess, sys, time\n{text}\n")
    path.chmod(0o755)
    return str(path)


def appending(folder: Path) -> str:
    """Appends what it is given to `heard.jsonl` in the folder."""
    heard = folder / "heard.jsonl"
    return written(folder, "append.py", f"open({str(heard)!r}, 'a').write(sys.stdin.read())")


def hanging(folder: Path) -> str:
    """Never ends, has a child that never ends, and deals with polite requests by ignoring them."""
    return written(
        folder,
        "hang.py",
        "import signal\n"
        "signal.signal(signal.SIGTERM, signal.SIG_IGN)\n"
        "child = subprocess.Popen(['sleep', '600'])\n"
        f"open({str(folder / 'pids')!r}, 'a').write(f'{{os.getpid()}} {{child.pid}}\\n')\n"
        "time.sleep(600)",
    )


def alive(folder: Path) -> list[int]:
    """Those of the hanging programs and their children that still run."""
    noted = folder / "pids"
    pids = noted.read_text().split() if noted.exists() else []
    return [int(pid) for pid in pids if _runs(int(pid))]


def _runs(pid: int) -> bool:
    try:
        return bool(psutil.Process(pid).status() != psutil.STATUS_ZOMBIE)
    except psutil.NoSuchProcess:
        return False
