"""Rectangles of a face that lie at different distances from the camera.

Positions and depths stand for an adult head and are told in eye distances, the distance between the
middles of the eyes, 65 mm: half the sum of inner and outer canthal distance in table 9 of
doi 10.1186/s40902-019-0191-7, which the hairline's height and the face's width are from, too. How
deep and how large the parts are is common practice, no source: nose tip 25 mm before the eyes,
cheeks about level with them, ears 80 mm behind.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.frame.faces import Face
from tether.model import Part, Rect

SMALLEST_EYE_DISTANCE = 80.0
"""Px between the eyes from which zones are told apart: below, a zone would hold its neighbours."""

SMALLEST_SIDE = 64
"""Least side of a zone, px: an edge width needs as much."""

LARGEST_SIDE = 400
"""Greatest side of a zone, px: more tells no more and takes longer."""

TURNED_DEG = 15.0
"""Yaw from which one eye counts as the near one: it is 17 mm nearer than the other then."""

Vector = NDArray[np.float64]

_MOST_DEG = 60.0  # faces turned further are hardly found
_NOSE = 0.4  # eye distances that the nose tip lies before the eyes


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of a face in the picture.

    `rect` is in px of the full-size unrotated image, and may reach beyond it. `depth` is how far
    the part lies before the middle between the eyes, towards the camera, in eye distances.
    """

    part: Part
    rect: Rect
    depth: float


# Of a head that looks into the camera, in eye distances from the middle between the eyes: to the
# side, down, towards the camera.
_CHEEK = (0.55, 0.65, 0.05)
_EAR = (1.15, 0.35, -1.25)
_HAIR = (0.0, -1.5, -0.5)
_MOUTH = 0.15  # towards the camera
_SIDES = {Part.NOSE: 0.45, Part.MOUTH: 0.55}  # eye distances; the others:
_SIDE = 0.55


def yaw_deg(face: Face) -> float:
    """How far a head is turned, degrees; positive where the subject's right eye is the nearer.

    Turning carries the nose tip, which lies before the face, across the line from between the eyes
    to the mouth and towards the farther eye, by the tangent of the yaw.
    """
    if face.eye_distance < 1:
        return 0.0
    eyes, across, down = _axes(face)
    mouth = _mouth(face)
    nose = np.array(face.nose) - eyes
    low = float((mouth - eyes) @ down)
    share = min(max(float(nose @ down) / low, 0.0), 1.0) if low > 0 else 0.0
    off = float((nose - share * (mouth - eyes)) @ across) / face.eye_distance
    yaw = math.degrees(math.atan(off / _NOSE))
    return min(max(yaw, -_MOST_DEG), _MOST_DEG)


def zones(face: Face) -> tuple[Zone, ...] | None:
    """Name the parts of a face, the nearest first; None where it is too small to tell them apart.

    A head turned by `TURNED_DEG` or more has a near and a far eye, a near cheek and a near ear; one
    that is not has a right and a left eye and ear.
    """
    if face.eye_distance < SMALLEST_EYE_DISTANCE:
        return None
    eyes, across, down = _axes(face)
    yaw = yaw_deg(face)
    turn = math.radians(yaw)
    # Turning makes the eyes appear closer together.
    unit = face.eye_distance / math.cos(turn)

    def seen(part: Part, where: Vector, side: float, forward: float) -> Zone:
        rect = _around(where, unit * _SIDES.get(part, _SIDE))
        return Zone(part, rect, forward * math.cos(turn) - side * math.sin(turn))

    def supposed(part: Part, side: float, below: float, forward: float) -> Zone:
        aside = side * math.cos(turn) + forward * math.sin(turn)
        return seen(part, eyes + unit * (aside * across + below * down), side, forward)

    # Across runs from the right eye to the left: what lies on the right has a negative side.
    if abs(yaw) < TURNED_DEG:
        right, left = Part.RIGHT_EYE, Part.LEFT_EYE
        sides = [supposed(Part.RIGHT_EAR, -_EAR[0], *_EAR[1:]), supposed(Part.LEFT_EAR, *_EAR)]
    else:
        near = -1 if yaw > 0 else 1
        right, left = (Part.NEAR_EYE, Part.FAR_EYE)[::-near]
        sides = [
            supposed(Part.NEAR_CHEEK, near * _CHEEK[0], *_CHEEK[1:]),
            supposed(Part.NEAR_EAR, near * _EAR[0], *_EAR[1:]),
        ]
    found = [
        seen(right, np.array(face.right_eye), -0.5, 0),
        seen(left, np.array(face.left_eye), 0.5, 0),
        # The tip and its wings, clear of the lips.
        seen(Part.NOSE, np.array(face.nose) - 0.1 * unit * down, 0, _NOSE),
        seen(Part.MOUTH, _mouth(face) + 0.05 * unit * down, 0, _MOUTH),
        supposed(Part.HAIR, *_HAIR),
        *sides,
    ]
    return tuple(sorted(found, key=lambda zone: -zone.depth))


def _axes(face: Face) -> tuple[Vector, Vector, Vector]:
    """Middle between the eyes; unit vectors from the right eye to the left and down the face."""
    right, left = np.array(face.right_eye), np.array(face.left_eye)
    across = (left - right) / face.eye_distance
    down = np.array([-across[1], across[0]])
    middle = (right + left) / 2
    # A mirrored picture is stored with the other sense of rotation.
    return middle, across, down if (_mouth(face) - middle) @ down >= 0 else -down


def _mouth(face: Face) -> Vector:
    middle: Vector = (np.array(face.mouth_right) + np.array(face.mouth_left)) / 2
    return middle


def _around(middle: Vector, side: float) -> Rect:
    length = min(max(round(side), SMALLEST_SIDE), LARGEST_SIDE)
    return Rect(round(middle[0] - length / 2), round(middle[1] - length / 2), length, length)
