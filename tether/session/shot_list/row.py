"""One row of a shot list, as it stands in the file."""

from __future__ import annotations

from dataclasses import dataclass, field

COLUMNS = ("name", "code", "sharp", "preset", "area", "notes")

MOST_ROWS = 10_000


@dataclass(frozen=True, slots=True)
class Row:
    """What a row says, by column; `where` names it, as in `row 4`.

    `formulas` is whether it comes from a spreadsheet, where some texts are formulas.
    """

    where: str
    cells: dict[str, object] = field(default_factory=dict)
    formulas: bool = False


def column(title: str) -> str:
    """Return a column's title as it is compared."""
    return " ".join(title.split()).casefold()
