"""Forty sequences of what happens to files; `python -m tests.session.any_order` runs a thousand."""

from __future__ import annotations

import subprocess
import sys
from itertools import combinations
from pathlib import Path

import pytest

from tests.pictures import write
from tests.session import oracle


def test_no_two_contents_have_the_same_verdict(folder: Path) -> None:
    files = [("jpg", one) for one in oracle.pictures()] + [("dng", one) for one in oracle.raws()]
    written = [write(folder / f"{nth}.{kind}", one) for nth, (kind, one) in enumerate(files)]
    found = [oracle.verdict_of(path, folder) for path in written]
    assert {one.verdict for one in found} == {"sharp", "soft"}
    for one, other in combinations([one.width_px for one in found], 2):
        assert one is not None
        assert other is not None
        assert abs(one - other) > 1e4 * oracle.WIDTH_PX


@pytest.mark.timeout(600)
def test_the_record_is_true_to_the_folder_after_anything_in_any_order() -> None:
    command = [sys.executable, "-m", "tests.session.any_order", "--sequences=42", "--jobs=3"]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
