"""The frame that arrived last, found without reading the others again."""

from __future__ import annotations

from tether.session.reader import Reader, Row


class Newest:
    """Follows a record's changes; a slate is no picture, and passed over."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._row: Row | None = None
        self._last: Row | None = None  # the last change that is known

    def row(self, *, anew: bool) -> Row | None:
        """The newest frame now; `anew`: another record stands in the place of the one before."""
        if anew or not self._followed():
            self._row = self._last = None
            for row in self._reader.rows_since(0):
                self._take(row)
        return self._row

    def _followed(self) -> bool:
        """Take in what changed; False where that does not tell enough, and all must be read."""
        if self._last is None:
            return False
        # The last change is asked for once more: should it not be there, its frame has left the
        # record, or this is another record.
        rows = self._reader.rows_since(self._last.revision - 1)
        if all(row.id != self._last.id for row in rows):
            return False
        for row in rows:
            if row.slate and self._row is not None and self._row.id == row.id:
                return False  # it was taken for a picture until it was judged anew
            self._take(row)
        return self._row is None or self._reader.frame(self._row.id) is not None

    def _take(self, row: Row) -> None:
        self._last = row
        known = self._row
        if not row.slate and (known is None or row.id == known.id or _order(row) >= _order(known)):
            self._row = row


def _order(row: Row) -> tuple[float, int]:
    return row.arrived, row.id
