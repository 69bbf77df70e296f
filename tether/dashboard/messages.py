"""What the feed tells the screen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual.message import Message

from tether.session.frame_evidence import FrameEvidence
from tether.session.laid import Laid
from tether.session.reader import Progress, Row
from tether.session.record import WatchState
from tether.verdict.limit import Leeway

if TYPE_CHECKING:  # numpy is slow to import: only once there is a picture to show
    import numpy as np
    import numpy.typing as npt

    Grey = npt.NDArray[np.uint8]


@dataclass
class Changed(Message):
    """Somebody wrote to the record. `anew`: it is another record than before, or the first.

    `laid` is the fixed area that was drawn for frames like the newest, if one was.
    """

    rows: list[Row]
    gone: set[int]
    anew: bool
    state: WatchState
    laid: Laid | None


@dataclass
class Progressed(Message):
    """How the shot list stands after such a change, and how far the limit was fed."""

    progress: Progress
    leeway: Leeway | None


@dataclass
class Watched(Message):
    """Whether a watch runs on the folder."""

    running: bool


@dataclass
class Trouble(Message):
    """The record cannot be read just now, in words; empty when it can again."""

    words: str


@dataclass(frozen=True, slots=True)
class Beside:
    """The reference's focus area, as `Detail` has the frame's own, and the frame's name."""

    name: str
    grey: Grey | None
    words: str


@dataclass
class Detail(Message):
    """All that the record holds of one frame, as asked for.

    `facts` is the contract's object, None if the frame is gone, `evidence` what it was judged by;
    `grey` is the focus area at 1:1, luma of 0 to 255 in rows of picture pixels; `words` says why
    there is none. `said` is what the photographer said against the verdict, and why; `beside` is
    the reference, where that is another frame, and `chosen` whether somebody made this one it.
    """

    number: int
    revision: int
    facts: dict[str, Any] | None
    evidence: FrameEvidence
    grey: Grey | None
    words: str
    said: tuple[str, str] | None = None
    beside: Beside | None = None
    chosen: bool = False


@dataclass
class Broken(Message):
    """The feed has failed in a way nobody foresaw."""

    problem: BaseException
