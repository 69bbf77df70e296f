"""From the parts of a face to where in depth the focus lay."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tether.model import Cause, EdgeWidth, Part

LEAST_RATIO = 1.25
"""Times that an eye's edges must be wider than another part's: less could be the parts' own."""

LEAST_DEPTH = 0.04
"""Eye distances that a part must lie before or behind an eye to tell of it."""

DOUBT = 0.6
"""Share of the widths' own doubt that remains in their ratio.

Parts of one picture share its light, its noise and its coding. `tests.benchmarks.accuracy_faces`
prints how often areas of like blur are told apart all the same.
"""


@dataclass(frozen=True, slots=True)
class PartSeen:
    """A part of a face whose edges could be measured.

    `depth` is how far it lies before the middle between the eyes, in eye distances.
    """

    part: Part
    depth: float
    widest: EdgeWidth
    narrowest: EdgeWidth


@dataclass(frozen=True, slots=True)
class Plane:
    """Where the focus lay instead of on the eye, and how that shows, in words."""

    cause: Cause
    words: str


@dataclass(frozen=True, slots=True)
class _Eye:
    """What the other parts are held against: the near eye, or both eyes as one."""

    name: str
    parts: tuple[PartSeen, ...]
    depth: float
    width: EdgeWidth


def find_plane(parts: Sequence[PartSeen], limit_px: float) -> Plane | None:
    """Tell front focus and back focus of a face.

    The eye is the near one; in a face that is not turned, both together. A part counts as sharper
    when its edges are surely narrower than the eye's in the direction that no movement has widened.
    A sharper part before the eye is front focus, one behind it back focus. Nothing is told where
    the eye is sharp or could not be judged, where parts on both sides look sharper (hair may fall
    before the face), or of hair alone, which a bent head carries forward.

    Parameters
    ----------
    parts
        Those of one face that could be measured, in any order.
    limit_px
        Widest edges that count as sharp, px.
    """
    eye = _eye(parts)
    if eye is None or eye.width.px <= limit_px:
        return None
    before = [seen for seen in parts if seen.depth > eye.depth + LEAST_DEPTH]
    behind = [seen for seen in parts if seen.depth < eye.depth - LEAST_DEPTH]
    front, back = _sharper(before, eye), _sharper(behind, eye)
    if front and not any(_leans(seen, eye) for seen in behind):
        return Plane(Cause.FRONT_FOCUS, _words(front[0], eye))
    if any(_leans(seen, eye) for seen in before):
        return None
    for seen in back:
        if seen.part is Part.FAR_EYE:
            return Plane(Cause.BACK_FOCUS, _far_eye(seen, eye, limit_px))
    told = back if before else [seen for seen in back if seen.part is not Part.HAIR]
    return Plane(Cause.BACK_FOCUS, _words(told[0], eye)) if told else None


def surely_narrower(one: EdgeWidth, other: EdgeWidth) -> bool:
    """Whether one width of a picture is less than another, beyond chance and by enough to matter.

    The interval of their ratio is formed from the intervals of both, which need not be symmetric
    (Zou and Donner, Statistics in Medicine 27, 2008), on the logarithms.
    """
    ratio = math.log(other.px / one.px)
    doubt = math.hypot(math.log(other.px / other.lo), math.log(one.hi / one.px))
    return ratio > DOUBT * doubt and ratio >= math.log(LEAST_RATIO)


def _eye(parts: Sequence[PartSeen]) -> _Eye | None:
    near = tuple(seen for seen in parts if seen.part is Part.NEAR_EYE)
    eyes = near or tuple(seen for seen in parts if seen.part in (Part.RIGHT_EYE, Part.LEFT_EYE))
    if not eyes:
        return None
    return _Eye(
        name=eyes[0].part.value if len(eyes) == 1 else "eyes",
        parts=eyes,
        depth=sum(seen.depth for seen in eyes) / len(eyes),
        width=_together([seen.narrowest for seen in eyes]),
    )


def _together(widths: Sequence[EdgeWidth]) -> EdgeWidth:
    """One width of several alike: their geometric mean, with its interval."""
    share = 1 / len(widths)
    px = math.prod(w.px for w in widths) ** share
    below = share * math.hypot(*(math.log(w.px / w.lo) for w in widths))
    above = share * math.hypot(*(math.log(w.hi / w.px) for w in widths))
    return EdgeWidth(px, px / math.exp(below), px * math.exp(above))


def _leans(seen: PartSeen, eye: _Eye) -> bool:
    """Whether a part looks sharper than the eye at all, be it by chance."""
    return seen.narrowest.px < eye.width.px


def _sharper(parts: Sequence[PartSeen], eye: _Eye) -> list[PartSeen]:
    """Parts that are surely sharper than the eye, the sharpest first."""
    found = [seen for seen in parts if surely_narrower(seen.narrowest, eye.width)]
    return sorted(found, key=lambda seen: seen.narrowest.px)


def _far_eye(far: PartSeen, eye: _Eye, limit_px: float) -> str:
    if far.widest.hi <= limit_px:
        return f"the far eye is sharp and the near one is not ({_against(far, eye)})"
    return _words(far, eye)


def _words(seen: PartSeen, eye: _Eye) -> str:
    return f"the {seen.part.value} is sharper than the {eye.name} ({_against(seen, eye)})"


def _against(seen: PartSeen, eye: _Eye) -> str:
    return f"{seen.narrowest.px:.1f} against {eye.width.px:.1f} px"
