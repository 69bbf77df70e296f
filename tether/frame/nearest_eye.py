"""The eye of the sitter that is nearer to the camera, as a source of the focus area."""

from __future__ import annotations

import math

from tether.frame.answer import Answer
from tether.frame.eyes_shown import eyes_shown
from tether.frame.face_zones import TURNED_DEG, yaw_deg
from tether.frame.faces import Face, Point, away
from tether.frame.picture import Picture
from tether.model import Eye, Part, Rect, Source

_SIDE = 0.5  # eye distances: the lids and lashes, no brow
_CLEARLY = 0.25  # eye distances that a point lies nearer to one eye than to the other


def ask(picture: Picture, point: Rect | None) -> Answer:
    """Say where the nearest eye lies.

    Of several faces it is the one nearest to the camera's own point, measured in faces, or else the
    largest. Of its eyes it is the one that the head is turned to the camera with. Turned by less
    than `TURNED_DEG` the eyes are about level, less than 17 mm apart in depth: there the one counts
    that the camera's point is clearly nearer to, and without a point the one that the turn still
    speaks for, however little. How sharp they are has no say: that is what is to be found out. An
    eye that is closed or hidden gives way to the other.

    Parameters
    ----------
    picture
        The frame.
    point
        What the camera says of its focus, px of the stored frame, if it says anything.
    """
    at = _middle(point) if point is not None else None
    faces = picture.faces(at)
    if not faces:
        return Answer(Source.NEAREST_EYE, None, "no face is found")
    face = min(faces, key=lambda one: away(one, at)) if at is not None else faces[0]
    which = "" if len(faces) == 1 else f" of the {'largest' if at is None else 'nearest'} face"
    unit = face.eye_distance / math.cos(math.radians(yaw_deg(face)))
    right, left = (_eye(part, face, unit) for part in (Part.RIGHT_EYE, Part.LEFT_EYE))
    seen = [
        shown and _in_frame(eye, picture)
        for eye, shown in zip((right, left), eyes_shown(picture.luma, face, unit), strict=True)
    ]
    if not any(seen):
        return Answer(Source.NEAREST_EYE, None, f"no eye{which} is seen: closed, hidden or outside")
    first, why = _nearer(face, at)
    if not seen[first is Part.LEFT_EYE]:
        first = Part.RIGHT_EYE if seen[0] else Part.LEFT_EYE
        why = "the other is not seen: closed, hidden or outside"
    eyes = (right, left) if first is Part.RIGHT_EYE else (left, right)
    return Answer(
        Source.NEAREST_EYE, eyes[0].rect, f"the {first}{which}: {why}", eyes=eyes[: sum(seen)]
    )


def _nearer(face: Face, at: Point | None) -> tuple[Part, str]:
    """The eye that counts, and why."""
    yaw = yaw_deg(face)
    turned = Part.RIGHT_EYE if yaw > 0 else Part.LEFT_EYE
    if abs(yaw) >= TURNED_DEG:
        return turned, f"the head is turned by {abs(yaw):.0f}°"
    if at is not None:
        nearer = math.dist(at, face.left_eye) - math.dist(at, face.right_eye)
        if abs(nearer) > _CLEARLY * face.eye_distance:
            part = Part.RIGHT_EYE if nearer > 0 else Part.LEFT_EYE
            return part, "both are about level, and the camera's point is nearer to it"
    return turned, "both are about level"


def _eye(part: Part, face: Face, unit: float) -> Eye:
    x, y = face.right_eye if part is Part.RIGHT_EYE else face.left_eye
    side = round(_SIDE * unit)
    return Eye(part, Rect(round(x - side / 2), round(y - side / 2), side, side))


def _in_frame(eye: Eye, picture: Picture) -> bool:
    x, y = _middle(eye.rect)
    return 0 <= x < picture.width and 0 <= y < picture.height


def _middle(rect: Rect) -> Point:
    return rect.x + rect.width / 2, rect.y + rect.height / 2
