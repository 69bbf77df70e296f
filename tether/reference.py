"""The frame that others are measured against: read once, compared with each of them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tether.frame import file, picture
from tether.frame.pixels import Luma
from tether.model import EdgeWidth, Rect
from tether.sharpness.cut import with_margin
from tether.sharpness.measure import measure
from tether.sharpness.relative import MARGIN, Comparison, compare, not_comparable
from tether.sharpness.tone import ToneCurve

NO_WIDTH = "the reference's own edge width cannot be measured here"


@dataclass(frozen=True, slots=True)
class Reference:
    """A reference's pixels, all of them, and how they code light."""

    luma: Luma
    curve: ToneCurve

    def against(self, luma: Luma, curve: ToneCurve, rect: Rect) -> Comparison:
        """Compare an area of a frame with the same place of the reference.

        Parameters
        ----------
        luma
            The whole frame, shape (rows, columns).
        curve
            How it codes light.
        rect
            The area, px.
        """
        if luma.shape != self.luma.shape:
            rows, columns = self.luma.shape
            return not_comparable(f"the reference is of another size, {columns} x {rows} px")
        own = self._width(rect)
        if own is None:
            return not_comparable(NO_WIDTH)
        cut, inner = with_margin(luma, rect, MARGIN)
        other, _ = with_margin(self.luma, rect, MARGIN)
        return compare(cut, other, inner, own, curve, self.curve)

    def _width(self, rect: Rect) -> EdgeWidth | None:
        return measure(*with_margin(self.luma, rect), self.curve).widest


def read(path: Path) -> Reference:
    """Read a reference.

    Raises
    ------
    file.Unreadable
        It yields no picture; the message says why.
    """
    found = picture.read(file.read(path).data, path)
    return Reference(found.luma, found.tags.curve)
