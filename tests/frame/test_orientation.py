"""Stored pixels turn the right way up for every Exif Orientation."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageOps

from tether.frame.orientation import shown_rect, stored, stored_rect, upright
from tether.model import Rect


@pytest.mark.parametrize("orientation", range(1, 9))
def test_turns_as_an_independent_reader_does(orientation: int) -> None:
    # Source: CIPA DC-008, tag 0x0112, as Pillow's exif_transpose applies it.
    stored = np.arange(40 * 60, dtype=np.uint16).reshape(40, 60).astype(np.uint8)
    image = Image.fromarray(stored)
    image.getexif()[0x0112] = orientation
    wanted = np.asarray(ImageOps.exif_transpose(image))
    assert np.array_equal(upright(stored, orientation), wanted)


# The point (45, 10) of a 60 x 40 px frame, as pixel indices: worked through Pillow 13.
@pytest.mark.parametrize(
    ("orientation", "shown"),
    [
        (1, (45, 10)),
        (2, (14, 10)),
        (3, (14, 29)),
        (4, (45, 29)),
        (5, (10, 45)),
        (6, (29, 45)),
        (7, (29, 14)),
        (8, (10, 14)),
    ],
)
def test_a_stored_pixel_is_shown_where_the_table_says(
    orientation: int, shown: tuple[int, int]
) -> None:
    stored = np.zeros((40, 60), np.uint8)
    stored[10, 45] = 255
    rows, columns = np.nonzero(upright(stored, orientation))
    assert (int(columns[0]), int(rows[0])) == shown


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_point_that_is_shown_goes_back_to_where_it_is_stored(orientation: int) -> None:
    picture = np.zeros((40, 60), np.uint8)
    picture[10, 45] = 255
    rows, columns = np.nonzero(upright(picture, orientation))
    shown = np.array([[columns[0] + 0.5, rows[0] + 0.5]])
    assert stored(shown, orientation, 60, 40).tolist() == [[45.5, 10.5]]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_rectangle_goes_to_where_it_is_shown_and_back(orientation: int) -> None:
    rect = Rect(31, 6, 12, 5)
    picture = np.zeros((40, 60), np.uint8)
    picture[6:11, 31:43] = 255
    rows, columns = np.nonzero(upright(picture, orientation))
    shown = shown_rect(rect, orientation, 60, 40)
    assert (shown.x, shown.y) == (columns.min(), rows.min())
    assert (shown.x + shown.width, shown.y + shown.height) == (columns.max() + 1, rows.max() + 1)
    assert stored_rect(shown, orientation, 60, 40) == rect
