"""A frame in hand: what the watch knows of one exposure, from its file being whole to its row.

A frame is known by its own number and by its file: inode, size and time of change, and the digest
of its bytes once they are read. The path is one of its fields, and changes hands.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from tether.frame.file import FileIdentity
from tether.judge import Asked
from tether.model import Judgement


class State(StrEnum):
    """Where a frame is on its way."""

    PASSED_OVER = "passed over"
    """Its file was there before the session: only another file in its place is judged."""

    SEEN = "seen"
    WAITING_FOR_PAIR = "waiting for its pair"
    WAITING = "waiting"
    BEING_JUDGED = "being judged"
    JUDGED = "judged"
    SECOND_LOOK = "second look"
    """It has its verdict; the rest of it is still to be looked at."""

    RECORDED = "recorded"
    REPLACED = "replaced"
    """Another has its place: its file was written over, or is the raw of a picture now."""

    GONE = "gone"


_SETTLED = frozenset({State.SECOND_LOOK, State.RECORDED})
_ENDS = frozenset({State.REPLACED, State.GONE})

MOVES: dict[State, frozenset[State]] = {
    State.PASSED_OVER: frozenset({State.REPLACED}),
    State.SEEN: frozenset({State.WAITING_FOR_PAIR, State.WAITING, State.REPLACED}),
    State.WAITING_FOR_PAIR: frozenset({State.WAITING, *_ENDS}),
    State.WAITING: frozenset({State.WAITING, State.BEING_JUDGED, State.JUDGED, *_ENDS}),
    State.BEING_JUDGED: frozenset({State.WAITING, State.JUDGED, *_ENDS}),
    State.JUDGED: frozenset({*_SETTLED, State.WAITING, *_ENDS}),
    State.SECOND_LOOK: frozenset({State.RECORDED, State.WAITING, *_ENDS}),
    State.RECORDED: frozenset({State.WAITING, *_ENDS}),
    State.REPLACED: frozenset(),
    State.GONE: frozenset({State.WAITING, State.RECORDED, State.REPLACED}),
}
"""From each state those that may follow."""


class WrongMove(Exception):
    """A frame was to go where it cannot go from where it is: a fault of the program."""


@dataclass(slots=True, eq=False)
class FileInHand:
    """One file of a frame, judged or the raw beside it, and where it lies.

    `there` is False once it is not at `path` any more, and nobody knows where it is. `passed_over`:
    it was there before the session, and is no frame by itself.
    """

    path: Path
    identity: FileIdentity
    there: bool = True
    passed_over: bool = False


@dataclass(frozen=True, slots=True)
class VerdictTimes:
    """When a frame got its verdict; a second look changes none of it."""

    arrived: datetime
    judged: datetime
    latency_ms: float


@dataclass(slots=True, eq=False)
class FrameInHand:
    """One exposure.

    Parameters
    ----------
    number
        Its own, in this watch.
    file, raws
        What is judged, and what else belongs to the exposure.
    arrived, came
        When the file that stands there now arrived, and when the frame first did, s since 1970.
    found
        `time.monotonic()` when its file was found whole.
    digest
        Of the bytes that were judged.
    row, setup
        Its id in the record and that of its setup, where it has one.
    question
        What a worker is to answer; no other answer counts.
    before, heir
        The frame whose file stood at this path until now: should that file turn up nowhere else,
        this frame is that one saved anew, and takes its row. `heir` is the same, seen from there.
    lost_until
        Until when its file may turn up elsewhere, s of the monotonic clock; None while it is there.
    misses
        How often a worker found another file in its place.
    swept
        Whether its file was there before anybody looked.
    quiet
        Whether its verdict alerts nobody: its exposure had one already.
    again
        Whether it is judged once more although its file is the same.
    stands, times, told
        While the rest of it is looked at: its judgement so far, without the picture, None if an
        earlier watch made it; when that was; and whether it was told as it stands.
    """

    number: int
    file: FileInHand
    arrived: datetime
    came: float
    found: float
    state: State = State.SEEN
    raws: list[FileInHand] = field(default_factory=list)
    digest: bytes | None = None
    row: int | None = None
    setup: int | None = None
    question: Asked | None = None
    before: FrameInHand | None = None
    heir: FrameInHand | None = None
    lost_until: float | None = None
    misses: int = 0
    swept: bool = False
    quiet: bool = False
    again: bool = False
    stands: Judgement | None = None
    times: VerdictTimes | None = None
    told: bool = False

    def move(self, to: State) -> None:
        """Go to another state.

        Raises
        ------
        WrongMove
            It cannot, from where it is.
        """
        if to not in MOVES[self.state]:
            raise WrongMove(f"frame {self.number}, {self.file.path}: {self.state} to {to}")
        self.state = to

    @property
    def path(self) -> Path:
        """Where its file is, or was when that was last known."""
        return self.file.path

    @property
    def waits(self) -> bool:
        """Whether its verdict is still to come."""
        return self.state in {State.WAITING, State.BEING_JUDGED}
