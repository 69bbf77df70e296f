"""Where a frame's faces are likely to be: where those of the frames before were, or tags say so."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tether.frame.faces import Face
from tether.frame.orientation import shown
from tether.frame.pixels import Luma
from tether.frame.view import View, view
from tether.model import Rect

_REACH = 4.0  # sides of the face that are looked through: it may have moved by one and a half
_SIDE = 36  # px of a face in that small picture
_ROLLED_DEG = 15.0  # up to this much a face is found without turning the picture


@dataclass(frozen=True, slots=True)
class Likely:
    """A place in the stored frame.

    `x`, `y` are its middle in shares of the frame's width and height, `side` the longer side of the
    face in shares of the frame's longer side. `roll_deg` is how far the face is turned clockwise
    when the frame is the right way up.
    """

    x: float
    y: float
    side: float
    roll_deg: float = 0.0

    def about(self, luma: Luma, orientation: int) -> View | None:
        """The surroundings as a small picture in which the face would stand upright.

        None where the frame holds too little of them.
        """
        rows, columns = luma.shape
        half = self.side * max(rows, columns) * _REACH / 2
        left, top = (max(round(at - half), 0) for at in (self.x * columns, self.y * rows))
        right = min(round(self.x * columns + half), columns)
        bottom = min(round(self.y * rows + half), rows)
        if min(right - left, bottom - top) < 2:
            return None
        part = Rect(left, top, right - left, bottom - top)
        seen = view(luma, part, round(_REACH * _SIDE)).turned(orientation)
        if abs(self.roll_deg) <= _ROLLED_DEG:
            return seen
        return seen.tilted(self.roll_deg, max(seen.picture.shape))


def likely(face: Face, luma: Luma, orientation: int) -> Likely:
    """Where to look for a face of this frame in the next one."""
    rows, columns = luma.shape
    box = face.box
    eyes = shown(np.array([face.right_eye, face.left_eye]), orientation, columns, rows)
    across = eyes[1] - eyes[0]
    return Likely(
        (box.x + box.width / 2) / columns,
        (box.y + box.height / 2) / rows,
        max(box.width, box.height) / max(rows, columns),
        math.degrees(math.atan2(across[1], across[0])),
    )


def at_rect(rect: Rect, luma: Luma) -> Likely:
    """Where the file itself says that a face is, px of the stored frame."""
    rows, columns = luma.shape
    return Likely(
        (rect.x + rect.width / 2) / columns,
        (rect.y + rect.height / 2) / rows,
        max(rect.width, rect.height) / max(rows, columns),
    )
