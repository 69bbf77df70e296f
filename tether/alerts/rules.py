"""Which frames somebody is told of, and how often: an alert that always comes is not heard."""

from __future__ import annotations

from dataclasses import dataclass

from tether.model import Verdict
from tether.settings import Alerts


@dataclass(frozen=True, slots=True)
class Due:
    """Somebody is to be told of this frame.

    `all_clear`: it is sharp again after an alert. `more` frames that would have been told of came
    since the last one that was.
    """

    all_clear: bool
    more: int


class Rules:
    """Hears every verdict in its turn and says which of them are due.

    Only a sharp frame ends a row; one that is not told of (borderline, unjudged, unless asked for)
    neither counts nor ends it.
    """

    def __init__(self, asked: Alerts) -> None:
        self._asked = asked
        self._told_of = {Verdict.SOFT}
        self._told_of |= {Verdict.BORDERLINE} if asked.borderline else set()
        self._told_of |= {Verdict.UNJUDGED} if asked.unjudged else set()
        self._row = 0
        self._held = 0
        self._last_s: float | None = None
        self._alarmed = False

    def hear(self, verdict: Verdict, now_s: float, *, in_danger: bool = True) -> Due | None:
        """Take in a frame's verdict; `now_s` is in s of a clock that never goes back.

        `in_danger`: the frame's setup still lacks sharp frames, or there is no shot list.
        """
        if verdict is Verdict.SHARP:
            return self._sharp()
        if verdict not in self._told_of or not (in_danger or not self._asked.in_danger_only):
            return None
        self._row += 1
        if self._row < self._asked.in_a_row:
            return None
        if self._last_s is not None and now_s - self._last_s < self._asked.at_most_every_s:
            self._held += 1
            return None
        self._last_s, self._alarmed = now_s, True
        return Due(all_clear=False, more=self._released())

    def _sharp(self) -> Due | None:
        self._row = 0
        alarmed, self._alarmed = self._alarmed, False
        if not (alarmed and self._asked.all_clear):
            return None
        return Due(all_clear=True, more=self._released())

    def _released(self) -> int:
        held, self._held = self._held, 0
        return held
