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

QR = "QRCodeModel2"
BARS = ("EANUPC", "Code128", "Code39", "ITF")


@dataclass(frozen=True, slots=True)
class Scanned:
    """A code: its text, whether it is text at all, and its corners, shape (4, 2).

    `family` is QR or one of `BARS`, `kind` zxing-cpp's name of the code within it. The corners go
    around from the one where reading begins, px of the picture, x and y.
    """

    family: str
    kind: str
    text: str
    is_text: bool
    corners: Corners
    sure: float = 1.0

    @property
    def width(self) -> float:
        """Px, along the bars' line."""
        return math.dist(self.corners[0], self.corners[1])

    @property
    def long_side(self) -> float:
        """Px."""
        return max(self.width, math.dist(self.corners[0], self.corners[3]))


def scan(picture: Small, families: tuple[str, ...], *, rotate: bool = True) -> list[Scanned]:
    """Read all codes of some families.

    Parameters
    ----------
    picture
        Shape (rows, columns).
    families
        Of `QR` and `BARS`.
    rotate
        Whether bars may lie across columns as well as across rows.
    """
    import zxingcpp

    found = zxingcpp.read_barcodes(
        picture,
        formats=_formats(families),
        try_rotate=rotate,
        text_mode=zxingcpp.TextMode.Plain,
    )
    return [_scanned(one) for one in found]


def bars_of(code: Scanned) -> NDArray[np.float64] | None:
    """The widths of bars and gaps of a code, in modules, the first a bar; None of no such code.

    A wide bar of Code 39 or ITF has more than one module, however many.
    """
    import zxingcpp

    text = code.text.rjust(13, "0") if code.kind == "EAN13" else code.text
    try:
        drawn = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat[code.kind])
    except (ValueError, KeyError):
        return None
    row = np.asarray(drawn.to_image(scale=1, add_quiet_zones=False))[0] < 128
    edges = np.flatnonzero(np.diff(row)) + 1
    return np.diff(np.concatenate([[0], edges, [row.size]])).astype(np.float64)


def _scanned(code: Any) -> Scanned:
    import zxingcpp

    p = code.position
    four = (p.top_left, p.top_right, p.bottom_right, p.bottom_left)
    corners = np.array([(corner.x, corner.y) for corner in four], np.float64)
    is_text = code.content_type != zxingcpp.ContentType.Binary
    family = QR if code.symbology == zxingcpp.BarcodeFormat.QRCode else code.symbology.name
    return Scanned(family, code.format.name, _printed(code), is_text, corners)


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
def _formats(families: tuple[str, ...]) -> Any:
    import zxingcpp

    return zxingcpp.barcode_formats_from_str(",".join(families))
