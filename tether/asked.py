"""What is asked of the judge: one file, as a frame."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Asked:
    """A file to be judged: its name as a frame, and when it was found whole.

    `found` is `time.monotonic()` at that moment. `within` is the folder that no link may leave.
    `camera` says whose frame it is, where that is a question.
    """

    path: Path
    frame: str
    arrived: datetime
    found: float
    within: Path | None = None
    camera: str | None = None
