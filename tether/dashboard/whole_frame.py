"""A whole frame, for an area to be drawn over: read from its file, once, when that is asked for.

It is the one place where a screen reads a picture. A small picture of every whole frame in the
record would cost each frame its making and its room, for the few that an area is drawn over. And
what is read here is what later frames are matched with, so it must be larger than a thumbnail.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tether import contract
from tether.model import Rect
from tether.session import laid as areas
from tether.session.laid import Laid
from tether.session.reader import Reader, Row

if TYPE_CHECKING:
    from tether.dashboard.messages import Grey


@dataclass(frozen=True, slots=True)
class WholeFrame:
    """A frame, and the rectangle to begin with.

    `small` is the frame reduced, as it is stored; `shown` the same the right way up. `size` is the
    width and height of the stored frame, px; `begin` is in px of it the right way up. `sides` are
    the least and the most that a judged area may have, px. `drawn` is whether an area was drawn for
    its `setup` and `camera`.
    """

    name: str
    small: Grey
    shown: Grey
    size: tuple[int, int]
    orientation: int
    begin: Rect
    sides: tuple[int, int]
    drawn: bool
    setup: int | None = None
    camera: str | None = None

    @property
    def upright(self) -> tuple[int, int]:
        """Width and height of the frame the right way up, px."""
        return self.size[::-1] if self.orientation >= 5 else self.size

    def stored(self, rect: Rect) -> Rect:
        """Take a rectangle of the picture the right way up to px of the stored frame."""
        from tether.frame.orientation import stored_rect

        return stored_rect(rect, self.orientation, *self.size)


def read(folder: Path, row: Row) -> WholeFrame:
    """Read the frame of a row from its file.

    Raises
    ------
    Unreadable, RecordError
        The file yields no picture any more, or the record cannot be read; the message says why.
    """
    import numpy as np

    from tether.frame import file
    from tether.frame.anchor import reduced, times_for
    from tether.frame.decode import decode
    from tether.frame.orientation import shown_rect, upright

    reader = Reader(folder)
    try:
        path, facts, evidence = (
            reader.path_of(row.id),
            reader.frame(row.id),
            reader.evidence(row.id),
        )
        laid, state = reader.laid(row.setup, row.camera), reader.state()
    finally:
        reader.close()
    if path is None or facts is None:
        raise file.Unreadable("the record has no such frame any more")
    # A frame of a further folder lies outside this one.
    within = folder if path.is_relative_to(folder) else path.parent
    luma = decode(file.read(path, within).data, path).luma
    height, width = luma.shape
    orientation, area = evidence.orientation, contract.area(facts)
    small = reduced(luma, Rect(0, 0, width, height), times_for(width, height))
    if laid is not None and laid.size == (width, height):
        begin = laid.rect
    elif area is not None:
        begin = area.rect
    else:
        begin = Rect(width // 2, height // 2, 0, 0)
    return WholeFrame(
        row.name,
        small,
        np.asarray(upright(small, orientation), np.uint8),
        (width, height),
        orientation,
        shown_rect(begin, orientation, width, height),
        (state.smallest_px, state.largest_px),
        laid is not None,
        row.setup,
        row.camera,
    )


def keep(folder: Path, whole: WholeFrame, rect: Rect) -> None:
    """Put an area, drawn over a frame the right way up, into the record.

    Raises
    ------
    RecordError
        It cannot be written; the message says why.
    """
    from tether.frame.anchor import coded

    one = Laid(whole.stored(rect), whole.size, whole.name, drawn=True)
    areas.put(folder, one, coded(whole.small), whole.setup, whole.camera)
