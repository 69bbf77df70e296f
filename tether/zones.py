"""The parts of the face that a focus area lies on: where they are, how sharp, what that tells."""

from __future__ import annotations

from dataclasses import dataclass

from tether.frame.face_zones import SMALLEST_SIDE, Zone, zones
from tether.frame.faces import Face, face_at
from tether.frame.picture import Picture
from tether.frame.pixels import Luma
from tether.model import Measurement, Rect
from tether.sharpness.cut import with_margin
from tether.sharpness.measure import measure
from tether.sharpness.tone import ToneCurve
from tether.verdict.plane import PartSeen, Plane, find_plane


@dataclass(frozen=True, slots=True)
class ZoneSeen:
    """A zone of a face as it was measured: `rect` is what the frame holds of it.

    `rect` and `measurement` are None where the frame holds too little.
    """

    zone: Zone
    rect: Rect | None
    measurement: Measurement | None


@dataclass(frozen=True, slots=True)
class FaceFinding:
    """A face with its zones, the nearest first, and where the focus lay if they tell it."""

    face: Face
    zones: tuple[ZoneSeen, ...]
    plane: Plane | None


def look_at_face(picture: Picture, area: Rect, limit_px: float) -> FaceFinding | None:
    """Measure the zones of the face that a focus area lies on or beside.

    Parameters
    ----------
    picture
        The whole frame; its faces are looked for if they were not yet.
    area
        The focus area, px of the stored frame.
    limit_px
        Widest edges that count as sharp, px.

    Returns
    -------
    FaceFinding or None
        None where no face is there, or one too small for zones.
    """
    middle = area.x + area.width / 2, area.y + area.height / 2
    face = face_at(picture.faces(middle), middle)
    named = zones(face) if face is not None else None
    if face is None or named is None:
        return None
    looked = [_look(picture.luma, zone, picture.tags.curve) for zone in named]
    told = [part for _, part in looked if part is not None]
    return FaceFinding(face, tuple(seen for seen, _ in looked), find_plane(told, limit_px))


def _look(luma: Luma, zone: Zone, curve: ToneCurve) -> tuple[ZoneSeen, PartSeen | None]:
    rect = _within(zone.rect, luma)
    if rect is None:
        return ZoneSeen(zone, None, None), None
    measurement = measure(*with_margin(luma, rect), curve)
    seen = ZoneSeen(zone, rect, measurement)
    widest, narrowest = measurement.widest, measurement.narrowest
    if widest is None or narrowest is None:
        return seen, None
    return seen, PartSeen(zone.part, zone.depth, widest, narrowest)


def _within(rect: Rect, luma: Luma) -> Rect | None:
    """What of a zone the frame holds; None where that is less than an edge width needs."""
    rows, columns = luma.shape
    left, top = max(rect.x, 0), max(rect.y, 0)
    width = min(rect.x + rect.width, columns) - left
    height = min(rect.y + rect.height, rows) - top
    if min(width, height) < SMALLEST_SIDE:
        return None
    return Rect(left, top, width, height)
