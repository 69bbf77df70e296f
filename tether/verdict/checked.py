"""What looking at one thing before the shot comes to."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

NOT_TOLD = "the camera does not tell"


class State(StrEnum):
    """How a thing is: fine, worth a look, to be changed, or not to be found out."""

    GOOD = "good"
    LOOK = "look"
    WRONG = "wrong"
    UNTOLD = "not told"


@dataclass(frozen=True, slots=True)
class Check:
    """One thing: what was found, why it matters, and what to change; empty for nothing."""

    name: str
    state: State
    found: str
    why: str
    change: str = ""

    @property
    def to_change(self) -> bool:
        """Whether something should be changed."""
        return self.state in (State.LOOK, State.WRONG)
