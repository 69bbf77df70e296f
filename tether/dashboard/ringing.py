"""When the bell rings: for a soft frame that matters, and for a setup that was left."""

from __future__ import annotations

from collections.abc import Iterable

from tether.dashboard.shots import Shots
from tether.session.reader import Row


class Ringing:
    """Takes in what is news, and says once for all of it whether to ring.

    Parameters
    ----------
    in_danger_only
        A soft frame rings only while its setup lacks sharp frames.
    reshoot
        A setup that was left without them rings, too.
    """

    def __init__(self, shots: Shots, *, in_danger_only: bool = True, reshoot: bool = True) -> None:
        self._shots, self._in_danger_only, self._reshoot = shots, in_danger_only, reshoot
        self._soft: list[Row] = []
        self._raised: set[int] | None = None

    def forget(self) -> None:
        """Another record is read: its reshoots are history."""
        self._soft, self._raised = [], None

    def soft(self, rows: Iterable[Row]) -> None:
        """Frames have just become soft."""
        self._soft += rows

    def due(self) -> bool:
        """Whether to ring, now that it is known what each setup has."""
        soft, self._soft = self._soft, []
        raised = {one.id for one in self._shots.progress.reshoots}
        new = raised - self._raised if self._raised is not None else set()
        # One that closes and is raised again is news again.
        self._raised = raised
        heard = not self._in_danger_only or any(self._shots.in_danger(row.setup) for row in soft)
        return (bool(new) and self._reshoot) or (bool(soft) and heard)
