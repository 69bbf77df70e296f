"""What is asked of the judge: one file, as a frame."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from tether.frame.file import FileIdentity


@dataclass(frozen=True, slots=True)
class Asked:
    """A file to be judged: its name as a frame, and when it was found whole.

    `found` is `time.monotonic()` at that moment. `within` is the folder that no link may leave.
    `camera` says whose frame it is, where that is a question. `number` is the frame's in a watch,
    `file` what is to lie there, and `came` when the frame arrived first, in s since 1970. What is
    `swept` lay there before anybody looked: nobody waits beside the camera for it.
    """

    path: Path
    frame: str
    arrived: datetime
    found: float
    within: Path | None = None
    camera: str | None = None
    number: int = 0
    file: FileIdentity | None = None
    came: float = 0.0
    swept: bool = False
