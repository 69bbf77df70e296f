"""The session's frames as the screen holds them: in order of arrival, counted, seen or not."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable

from tether.model import Verdict
from tether.session.reader import Row


class Frames:
    """Rows of the record by arrival, oldest first, and the soft ones nobody has seen yet.

    `counts` are by the verdicts that stand; slates show no subject and are no part of them.
    """

    def __init__(self) -> None:
        self.rows: list[Row] = []
        self.counts: Counter[str] = Counter()
        self.overruled = 0
        self.widest_px = 0.0
        self._by_id: dict[int, Row] = {}
        self._unseen: set[int] = set()

    @property
    def newest(self) -> Row | None:
        """The frame that arrived last."""
        return self.rows[-1] if self.rows else None

    @property
    def unseen(self) -> list[Row]:
        """Soft frames that nobody has said to have seen, oldest first."""
        return sorted((self._by_id[number] for number in self._unseen), key=_order)

    def get(self, number: int | None) -> Row | None:
        """The frame with this id."""
        return None if number is None else self._by_id.get(number)

    def place(self, row: Row) -> int:
        """Where `row` stands in `rows`."""
        return bisect_left(self.rows, _order(row), key=_order)

    def clear(self) -> None:
        """Forget every frame: another record stands in the place of the one that was read."""
        self.rows, self._by_id, self._unseen, self.widest_px = [], {}, set(), 0.0
        self.counts.clear()
        self.overruled = 0

    def take(
        self, changed: Iterable[Row], gone: Iterable[int] = (), *, since: float | None = None
    ) -> list[Row]:
        """Take in changed rows and drop those that are gone.

        Parameters
        ----------
        changed, gone
            Rows added or altered, in any order; ids that the record no longer holds.
        since
            Frames that arrived before this (s since 1970) are history and no news. None: every
            change is news.

        Returns
        -------
        list of Row
            The frames that have just become soft; they are unseen from now on.
        """
        news = []
        for row in changed:
            before = self._by_id.get(row.id)
            self._by_id[row.id] = row
            if row.verdict != Verdict.SOFT or row.overruled:
                self._unseen.discard(row.id)
            elif (before is None or before.verdict != Verdict.SOFT) and (
                since is None or row.arrived >= since
            ):
                self._unseen.add(row.id)
                news.append(row)
        for number in gone:
            self._by_id.pop(number, None)
            self._unseen.discard(number)
        self.rows = sorted(self._by_id.values(), key=_order)
        self.widest_px = max((row.edge_width_px or 0.0 for row in self.rows), default=0.0)
        self.counts = Counter(row.stands for row in self.rows if row.slate is None)
        self.overruled = sum(row.overruled is not None for row in self.rows)
        return news

    def seen(self) -> None:
        """Somebody has looked at the soft frames."""
        self._unseen.clear()


def _order(row: Row) -> tuple[float, int]:
    return row.arrived, row.id
