"""Codes as zxing-cpp reads them in a picture: the one file that knows that library."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from tether.frame.view import Small

Corners = NDArray[np.float64]

QR = ("QRCodeModel2", "MicroQRCode")
BARS = ("EANUPC", "Code128", "Code39", "ITF")

# ISO/IEC 15424: its check digit was there, and held.
_CHECKED = {"Code39": "]A1", "ITF": "]I1"}


@dataclass(frozen=True, slots=True)
class Scanned:
    """A code: its text, whether it is text at all, and its corners, shape (4, 2).

    `bars` tells a bar code from a QR code, `checked` whether it has a check digit, which then
    holds: nothing is read whose check digit does not. The corners go around from the one where
    reading begins, px of the picture, x and y.
    """

    text: str
    is_text: bool
    bars: bool
    checked: bool
    corners: Corners

    @property
    def long_side(self) -> float:
        """Px."""
        first, second, _, last = self.corners
        return max(math.dist(first, second), math.dist(first, last))


def scan(picture: Small, kinds: tuple[str, ...], *, one_level: bool = False) -> list[Scanned]:
    """Read all codes of some kinds.

    Parameters
    ----------
    picture
        Shape (rows, columns).
    kinds
        `QR`, which may lie in any way, or `BARS`, which must lie along the rows; or both.
    one_level
        Whether one level between light and dark is taken for all of the picture.
    """
    import zxingcpp

    binarizers = zxingcpp.Binarizer
    found = zxingcpp.read_barcodes(
        picture,
        formats=_formats(kinds),
        try_rotate=False,
        binarizer=binarizers.GlobalHistogram if one_level else binarizers.LocalAverage,
        text_mode=zxingcpp.TextMode.Plain,
    )
    return [_scanned(one) for one in found]


def _scanned(code: Any) -> Scanned:
    import zxingcpp

    p = code.position
    four = (p.top_left, p.top_right, p.bottom_right, p.bottom_left)
    corners = np.array([(corner.x, corner.y) for corner in four], np.float64)
    is_text = code.content_type != zxingcpp.ContentType.Binary
    checked = _CHECKED.get(code.symbology.name) in {None, code.symbology_identifier}
    bars = code.symbology.name in BARS
    return Scanned(_printed(code).strip(), is_text, bars, checked, corners)


def _printed(code: Any) -> str:
    """The text; of a product the digits that are printed below its bars, as a list has them.

    Read, a UPC code has the digits of EAN-13. UPC-A is an EAN-13 that begins with 0, to the last
    bar; UPC-E leaves zeros out (GS1 General Specifications).
    """
    if code.format.name == "UPCE":
        return str((code.extra or {}).get("UPCE", code.text))
    if code.format.name in {"EAN13", "UPCA"}:
        return str(code.text[-13:].removeprefix("0"))
    return str(code.text)


@cache
def _formats(kinds: tuple[str, ...]) -> Any:
    import zxingcpp

    return zxingcpp.barcode_formats_from_str(",".join(kinds))
