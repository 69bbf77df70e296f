"""The parts of the face that a focus area lies on: where they are, how sharp, what that tells."""

from __future__ import annotations

from dataclasses import dataclass

from tether.frame import faces
from tether.frame.face_zones import SMALLEST_SIDE, Zone, zones
from tether.frame.faces import Face
from tether.frame.pixels import Luma
from tether.model import Measurement, Rect
from tether.sharpness.cut import with_margin
from tether.sharpness.fineness import borne_out, fineness
from tether.sharpness.measure import measure
from tether.sharpness.tone import ToneCurve
from tether.verdict.plane import PartSeen, Plane, find_plane

_AROUND = 0.5  # of a face's width and height, beyond it: hair, ears and neck


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


def look_at_face(
    luma: Luma, orientation: int, area: Rect, curve: ToneCurve, limit_px: float
) -> FaceFinding | None:
    """Measure the zones of the face that a focus area lies on or beside.

    Parameters
    ----------
    luma
        The whole frame, uint8 or uint16, shape (rows, columns), as stored.
    orientation
        Exif Orientation, 1 to 8.
    area
        The focus area, px of the stored frame.
    curve
        How the pixels code light.
    limit_px
        Widest edges that count as sharp, px.

    Returns
    -------
    FaceFinding or None
        None where no face is there, or one too small for zones.
    """
    face = _face_of(area, faces.find(luma, orientation))
    named = zones(face) if face is not None else None
    if face is None or named is None:
        return None
    looked = [_look(luma, zone, curve) for zone in named]
    told = [part for _, part in looked if part is not None]
    return FaceFinding(face, tuple(seen for seen, _ in looked), find_plane(told, limit_px))


def _face_of(area: Rect, found: tuple[Face, ...]) -> Face | None:
    """The face nearest to the middle of an area, in shares of the face, among those close by."""
    x, y = area.x + area.width / 2, area.y + area.height / 2

    def away(face: Face) -> float:
        box = face.box
        across = (x - box.x - box.width / 2) / box.width
        down = (y - box.y - box.height / 2) / box.height
        return max(abs(across), abs(down))

    return min((face for face in found if away(face) <= 0.5 + _AROUND), key=away, default=None)


def _look(luma: Luma, zone: Zone, curve: ToneCurve) -> tuple[ZoneSeen, PartSeen | None]:
    rect = _within(zone.rect, luma)
    if rect is None:
        return ZoneSeen(zone, None, None), None
    cut, inner = with_margin(luma, rect)
    measurement = measure(cut, inner, curve)
    seen = ZoneSeen(zone, rect, measurement)
    widest, narrowest = measurement.widest, measurement.narrowest
    if widest is None or narrowest is None:
        return seen, None
    # Skin out of focus has little to measure but its noise.
    if not borne_out(narrowest.px, fineness(cut, inner, measurement.noise)):
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
