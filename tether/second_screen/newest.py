"""The frame that arrived last, found without reading the others again."""

from __future__ import annotations

from tether.session.reader import Reader, Row


class Newest:
    """Follows a record's changes; a slate is no picture, and passed over."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._row: Row | None = None
        self._revision = 0

    def row(self, *, anew: bool) -> Row | None:
        """The newest frame now; `anew`: another record stands in the place of the one before."""
        if anew:
            self._forget()
        self._take()
        if self._row is not None and self._reader.frame(self._row.id) is None:
            self._forget()  # a file was renamed over its own
            self._take()
        return self._row

    def _forget(self) -> None:
        self._row, self._revision = None, 0

    def _take(self) -> None:
        for row in self._reader.rows_since(self._revision):
            self._revision = max(self._revision, row.revision)
            known = self._row
            if row.slate:
                if known is not None and known.id == row.id:
                    self._forget()  # judged anew: it was taken for a picture
                    self._take()
                    return
            elif known is None or row.id == known.id or _order(row) >= _order(known):
                self._row = row


def _order(row: Row) -> tuple[float, int]:
    return row.arrived, row.id
