"""Of boxes that overlap too much, the best one is kept."""

from __future__ import annotations

import numpy as np

from tether.frame.boxes import apart, moved, square

BOXES = np.array([[0, 0, 10, 10], [1, 0, 11, 10], [30, 30, 40, 40], [2, 2, 6, 6]], np.float32)
SCORES = np.array([0.8, 0.9, 0.7, 0.6], np.float32)


def test_the_best_of_two_that_overlap_is_kept_best_first() -> None:
    # The first two share 90 of 110.
    assert apart(BOXES, SCORES, 0.8).tolist() == [1, 2, 3]
    assert apart(BOXES, SCORES, 0.82).tolist() == [1, 0, 2, 3]


def test_a_box_within_another_overlaps_all_of_the_smaller() -> None:
    assert apart(BOXES, SCORES, 0.8, of_smaller=True).tolist() == [1, 2]


def test_no_boxes_give_none() -> None:
    none = np.zeros((0, 4), np.float32)
    assert apart(none, np.zeros(0, np.float32), 0.5).tolist() == []
    assert square(none).shape == moved(none, none).shape == (0, 4)


def test_corners_move_by_shares_of_the_box() -> None:
    box = np.array([[10, 20, 30, 60]], np.float32)
    shift = np.array([[0.1, 0.1, -0.1, 0.5]], np.float32)
    assert moved(box, shift).tolist() == [[12, 24, 28, 80]]


def test_a_box_made_square_keeps_its_middle() -> None:
    assert square(np.array([[10, 20, 30, 60]], np.float32)).tolist() == [[0, 20, 40, 60]]
