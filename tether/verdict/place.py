"""Where in a picture a rectangle lies, in words, as whoever looks at the picture would say."""

from __future__ import annotations

from tether.model import Rect

_WORDS = (
    ("upper left", "top", "upper right"),
    ("left", "centre", "right"),
    ("lower left", "bottom", "lower right"),
)


def place(rect: Rect, size: tuple[int, int], orientation: int = 1) -> str:
    """Name the ninth of the picture in which a rectangle's middle lies, as "upper left".

    Parameters
    ----------
    rect
        In px of the unrotated picture.
    size
        Width and height of the unrotated picture, px.
    orientation
        Exif Orientation (CIPA DC-008, tag 0x0112), 1 to 8: the words are for the right way up.
    """
    x = (rect.x + rect.width / 2) / size[0]
    y = (rect.y + rect.height / 2) / size[1]
    if orientation in {5, 6, 7, 8}:
        x, y = y, x
    if orientation in {2, 3, 6, 7}:
        x = 1 - x
    if orientation in {3, 4, 7, 8}:
        y = 1 - y
    across, down = (min(max(int(3 * part), 0), 2) for part in (x, y))
    return _WORDS[down][across]
