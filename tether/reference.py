"""The frame that others are measured against: read once, compared with each of them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from tether.frame import file, picture
from tether.frame.picture import Picture
from tether.frame.pixels import Luma
from tether.model import Against, EdgeWidth, Exposure, Eye, FocusArea, Judgement, Rect
from tether.plain import plain
from tether.sharpness.cut import with_margin
from tether.sharpness.measure import measure
from tether.sharpness.register import FARTHEST
from tether.sharpness.relative import (
    MARGIN,
    NOT_THE_SAME,
    OVERLAP_TOO_SMALL,
    Comparison,
    compare,
    not_comparable,
)
from tether.sharpness.tone import ToneCurve

NO_WIDTH = "the reference's own edge width cannot be measured here"

POSED = 0.98
"""Correlation of coarse detail that two places must reach where what they show has moved."""

POSE = 0.07
"""How far off, as a share, a ratio is by a pose that passes for the same, nine times in ten:
`tests.benchmarks.accuracy_sitter` prints what comes of the two."""

_MOST_WIDTHS = 64  # areas of one reference whose width is remembered


@dataclass(frozen=True, slots=True)
class Reference:
    """A reference's pixels, all of them, and how they code light.

    `frame` is its name and `number` its id in the session's record. `area` and `eyes` are where it
    was judged itself, where that is known. Several threads may compare at once.
    """

    luma: Luma
    curve: ToneCurve
    frame: str = ""
    number: int | None = None
    area: FocusArea | None = None
    eyes: tuple[Eye, ...] = ()
    _widths: dict[Rect, EdgeWidth | None] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )

    def against(
        self, luma: Luma, curve: ToneCurve, area: FocusArea, eyes: tuple[Eye, ...] = ()
    ) -> Comparison:
        """Compare an area of a frame with the reference.

        The same place of both is compared. Where that does not show the same thing since what the
        area lies on has moved, a sitter's eye or what the camera's point follows, it is compared
        with what the reference itself was judged by, if that is the same kind of area, and of
        eyes the same one. A head that has turned or come nearer since is not the same picture any
        more: so then they must match better, and intervals are wider.

        Parameters
        ----------
        luma
            The whole frame, shape (rows, columns).
        curve
            How it codes light.
        area, eyes
            Where it was judged, and the eyes that were seen, the judged one first.
        """
        if luma.shape != self.luma.shape:
            rows, columns = self.luma.shape
            return not_comparable(f"the reference is of another size, {columns} x {rows} px")
        found = self._compared(luma, curve, area.rect, area.rect)
        if found.reason in {NOT_THE_SAME, OVERLAP_TOO_SMALL, NO_WIDTH}:
            own = self._own_place(area, eyes)
            if own is not None:
                return _posed(self._compared(luma, curve, area.rect, own), self._width(own))
        return found

    def _compared(self, luma: Luma, curve: ToneCurve, rect: Rect, own: Rect) -> Comparison:
        width = self._width(own)
        if width is None:
            return not_comparable(NO_WIDTH)
        # As much about either as both have, so that both cuts are of one shape.
        margins = [_room(one, luma.shape) for one in (rect, own)]
        top, left, below, right = (min(a, b) for a, b in zip(*margins, strict=True))
        cut, other = (
            one[r.y - top : r.y + r.height + below, r.x - left : r.x + r.width + right]
            for one, r in ((luma, rect), (self.luma, own))
        )
        inner = Rect(left, top, rect.width, rect.height)
        return compare(cut, other, inner, width, curve, self.curve)

    def _own_place(self, area: FocusArea, eyes: tuple[Eye, ...]) -> Rect | None:
        """An area of this size about the middle of the reference's own; None if that is no other.

        What has moved by less was looked for where it was.
        """
        if self.area is None or self.area.source is not area.source:
            return None
        there, here = self.area.rect, area.rect
        if eyes:
            part = eyes[0].part
            same = [eye.rect for eye in self.eyes if eye.part is part]
            if not same:
                return None
            there = same[0]
        rows, columns = self.luma.shape
        x = there.x + (there.width - here.width) // 2
        y = there.y + (there.height - here.height) // 2
        x = min(max(x, 0), columns - here.width)
        y = min(max(y, 0), rows - here.height)
        if max(abs(x - here.x), abs(y - here.y)) <= FARTHEST:
            return None
        return replace(here, x=x, y=y)

    def _width(self, rect: Rect) -> EdgeWidth | None:
        if rect in self._widths:
            return self._widths[rect]
        found = measure(*with_margin(self.luma, rect), self.curve).widest
        if len(self._widths) < _MOST_WIDTHS:
            self._widths[rect] = found
        return found


@dataclass(frozen=True, slots=True)
class Answer:
    """The reference for a frame, if there is one; `note` says why it is not the one it was."""

    reference: Reference | None
    note: str = ""


Lookup = Callable[[Exposure], Answer]
"""Asked for the reference once it is known how a frame was taken."""


def compared(
    lookup: Lookup | None,
    exposure: Exposure,
    frame: Picture,
    area: FocusArea,
    eyes: tuple[Eye, ...],
) -> tuple[Comparison | None, Against | None, str]:
    """Compare a frame with the reference that is looked up for it.

    Returns
    -------
    tuple of Comparison or None, Against or None, and str
        What was found, what is to be told of it, and a note; without a reference None, None.
    """
    answer = lookup(exposure) if lookup is not None else Answer(None)
    one = answer.reference
    if one is None:
        return None, None, answer.note
    found = one.against(frame.luma, frame.tags.curve, area, eyes)
    named = Against(plain(one.frame), one.number, found.ratio_95, found.reason)
    return found, named, answer.note


def as_judged(frame: Picture, judgement: Judgement) -> Reference:
    """A frame that was judged as what later ones are measured against."""
    area, eyes = judgement.area, judgement.eyes
    return Reference(frame.luma, frame.tags.curve, judgement.frame, area=area, eyes=eyes)


def read(path: Path) -> Reference:
    """Read a reference.

    Raises
    ------
    file.Unreadable
        It yields no picture; the message says why.
    """
    found = picture.read(file.read(path).data, path)
    return Reference(found.luma, found.tags.curve, path.stem)


def _posed(found: Comparison, width: EdgeWidth | None) -> Comparison:
    """A comparison of what has moved: refused, or less sure by what a pose does to edges."""
    if found.ratio is None or found.ratio_95 is None or found.added_95 is None or width is None:
        return found
    if found.alike < POSED:
        return not_comparable(NOT_THE_SAME, found.alike)
    ratio, unsure = found.ratio, math.log1p(POSE)
    down, up = (math.hypot(math.log(ratio / one), unsure) for one in found.ratio_95)
    doubt = width.px**2 * ((1 + POSE) ** 2 - 1)
    low, high = (one * abs(one) for one in found.added_95)
    return replace(
        found,
        ratio_95=(ratio * math.exp(-down), ratio * math.exp(up)),
        added_95=(_signed_root(low - doubt), _signed_root(high + doubt)),
    )


def _signed_root(square: float) -> float:
    return math.copysign(math.sqrt(abs(square)), square)


def _room(rect: Rect, shape: tuple[int, ...]) -> tuple[int, int, int, int]:
    """Px of the margin that there are above, left of, below and right of an area."""
    room = (
        *(rect.y, rect.x),
        *(shape[0] - rect.y - rect.height, shape[1] - rect.x - rect.width),
    )
    top, left, below, right = (min(MARGIN, one) for one in room)
    return top, left, below, right
