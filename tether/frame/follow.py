"""Where a fixed area lies now: found again after a small move of the camera.

Light, sharpness and even the product may differ from the frame that the area was laid over; where
edges run, and which way, does not. So gradients are matched, their strength held down (after
gradient correlation: Argyriou & Vlachos, "Using gradient correlation for sub-pixel motion
estimation of video sequences", ICASSP 2004), once coarsely with much around the area, and once
finer close to it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tether.frame.anchor import Anchor, Small, reduced
from tether.frame.pixels import Luma
from tether.model import Rect

Floats = NDArray[np.float32]

FARTHEST = 0.06
"""Shift along either axis that is followed, as a fraction of the frame's longer side."""

# Of the longer side: how far a shift is looked for, so that one too far is known for what it is,
# and how much beside the area is matched, coarsely and finely.
_LOOKED = 0.10
_AROUND, _CLOSE = 0.10, 0.03
# Times smaller than the anchor's small picture.
_COARSE, _WHOLE = 2, 4
_NEAR = 6  # px of the small picture that the fine match may lie from the coarse one
_MIDDLE = 0.6  # of the frame, along each side, that is looked for in all of another
# How alike gradients are, up to 1: around the area other scenes reach .14, a swapped product .34
# and more, one blurred over 60 px .30; of whole frames others reach .41, for many have a horizon
# (`tests.benchmarks.accuracy_fixed`).
_ALIKE, _UNLIKE, _CLOSELY_ALIKE, _WHOLLY_ALIKE = 0.28, 0.2, 0.5, 0.45
_FAINT = 0.1  # levels a px
# How crisp a frame must be, against the anchor's, to be followed, and to be told from another;
# and how alike its own pixels, so that it shows more than noise.
_CRISP_ENOUGH, _AS_CRISP, _OWN = 0.25, 0.5, 0.5


@dataclass(frozen=True, slots=True)
class Followed:
    """How far the picture lies from where it was, px right and down; None if that is unknown.

    `farther` is whether that is more than is followed. `other` is whether the frame surely shows
    something else, though it is not known how far the camera moved.
    """

    shift: tuple[int, int] | None
    farther: bool = False
    other: bool = False


@dataclass(frozen=True, slots=True)
class _Pair:
    """A frame beside what it is matched with: `unit` px of the one along a px of the other."""

    luma: Luma
    small: Small
    unit: int

    def now(self, part: Rect, smaller: int) -> Floats:
        """A part of the frame, in px of the small picture made so many times smaller."""
        return _reduced(self.luma, part, self.unit * smaller)

    def before(self, part: Rect, smaller: int) -> Floats:
        """The same part of the small picture."""
        return _reduced(self.small, part, smaller)

    def whole(self, smaller: int) -> Rect:
        """All of the small picture, in px of it made so many times smaller."""
        rows, columns = self.small.shape
        return Rect(0, 0, columns // smaller, rows // smaller)


@dataclass(frozen=True, slots=True)
class _Match:
    """A shift in px of the small picture, and how alike gradients are there, up to 1."""

    right: float
    down: float
    alike: float


def follow(luma: Luma, anchor: Anchor) -> Followed:
    """Find the shift of a frame's content since the frame that an area was laid over.

    Turns and growth are not looked for: a small one costs little near the area.

    Parameters
    ----------
    luma
        The frame, shape (height, width), unrotated, of the anchor's size.
    anchor
        The area and what the frame looked like.
    """
    pair = _Pair(luma, anchor.small, anchor.times)
    farthest = FARTHEST * max(anchor.size)
    about = _about(anchor, _AROUND, _COARSE)
    far = round(_LOOKED * max(anchor.size) / (anchor.times * _COARSE))
    coarse = _match(pair, about, _COARSE, far=far)
    if coarse.alike < _ALIKE:
        return _elsewhere(pair, farthest, unlike=coarse.alike < _UNLIKE)
    if not _crisp(pair, about, _CRISP_ENOUGH):
        return Followed(None)
    shift = _in_frame(coarse, pair)
    if max(map(abs, shift)) > farthest:
        return Followed(shift, farther=True)
    begun = round(coarse.right), round(coarse.down)
    fine = _match(pair, _about(anchor, _CLOSE, 1), 1, begun, _NEAR)
    return Followed(_in_frame(fine, pair) if fine.alike >= _CLOSELY_ALIKE else shift)


def _elsewhere(pair: _Pair, farthest: float, *, unlike: bool) -> Followed:
    """Look at all of a frame that does not match about the area, for how far it surely moved."""
    small = reduced(pair.luma, Rect(0, 0, *pair.luma.shape[::-1]), pair.unit)
    now = _Pair(small, pair.small, 1)
    whole = now.whole(_WHOLE)
    x, y = (round(side * (1 - _MIDDLE) / 2) for side in (whole.width, whole.height))
    middle = Rect(x, y, whole.width - 2 * x, whole.height - 2 * y)
    found = _match(now, middle, _WHOLE, far=max(x, y))
    if found.alike >= _WHOLLY_ALIKE:
        shift = _in_frame(found, pair)
        moved = max(map(abs, shift)) > farthest
        return Followed(shift if moved else None, farther=moved)
    other = unlike and _detailed(small) and _crisp(now, now.whole(_COARSE), _AS_CRISP)
    return Followed(None, other=other)


def _in_frame(found: _Match, pair: _Pair) -> tuple[int, int]:
    return round(pair.unit * found.right), round(pair.unit * found.down)


def _match(
    pair: _Pair, part: Rect, smaller: int, begun: tuple[int, int] = (0, 0), far: int = 0
) -> _Match:
    """Look for a part of the small picture in the frame, at shifts up to `far` from `begun`.

    All in px of the small picture made so many times smaller; the result is in its own.
    """
    import cv2

    whole = pair.whole(smaller)
    x, y = part.x + begun[0] - far, part.y + begun[1] - far
    right, bottom = x + part.width + 2 * far, y + part.height + 2 * far
    left, top = min(max(x, 0), whole.width - 1), min(max(y, 0), whole.height - 1)
    inside = Rect(left, top, min(right, whole.width) - left, min(bottom, whole.height) - top)
    # What lies outside the frame has no edges and counts for nothing.
    rims = top - y, bottom - top - inside.height, left - x, right - left - inside.width
    seen = cv2.copyMakeBorder(
        _edges(pair.now(inside, smaller)), *rims, cv2.BORDER_CONSTANT, value=(0, 0)
    )
    wanted = _edges(pair.before(part, smaller))
    found = np.nan_to_num(cv2.matchTemplate(seen, wanted, cv2.TM_CCORR_NORMED), posinf=0)
    down, across = (int(n) for n in np.unravel_index(int(np.argmax(found)), found.shape))
    return _Match(
        smaller * (across - far + begun[0] + _crest(found[down, :], across)),
        smaller * (down - far + begun[1] + _crest(found[:, across], down)),
        float(found[down, across]),
    )


def _detailed(small: Small) -> bool:
    """Whether a picture shows more than noise: two made of different pixels of it agree."""
    rows, columns = (side // 2 * 2 for side in small.shape)
    s = small[:rows, :columns].astype(np.float32)
    one, other = (_edges(s[first::2, ::2] + s[1 - first :: 2, 1::2]) for first in (0, 1))
    lengths = float(np.linalg.norm(one) * np.linalg.norm(other))
    return float((one * other).sum()) > _OWN * lengths


def _crisp(pair: _Pair, part: Rect, least: float) -> bool:
    """Whether a part of a frame is at least so crisp against what the small picture shows there."""
    now, before = (_crispness(grey(part, _COARSE)) for grey in (pair.now, pair.before))
    return now >= least * before


def _crispness(grey: Floats) -> float:
    """How much of the light's spread lies between neighbours, whatever the light."""
    spread = float(grey.std())
    return float(np.hypot(np.diff(grey, axis=0).std(), np.diff(grey, axis=1).std())) / (
        spread + _FAINT
    )


def _about(anchor: Anchor, around: float, smaller: int) -> Rect:
    """The area with a margin, as far as the frame goes, in px of the small picture or smaller."""
    rect, margin = anchor.rect, around * max(anchor.size)
    times = anchor.times * smaller
    columns, rows = (side // times for side in anchor.size)
    x, y = (max(0, int((at - margin) // times)) for at in (rect.x, rect.y))
    right = min(columns, int((rect.x + rect.width + margin) // times) + 1)
    bottom = min(rows, int((rect.y + rect.height + margin) // times) + 1)
    return Rect(x, y, right - x, bottom - y)


def _reduced(luma: Luma, part: Rect, times: int) -> Floats:
    whole = Rect(*(times * n for n in (part.x, part.y, part.width, part.height)))
    return reduced(luma, whole, times).astype(np.float32)


def _edges(grey: Floats) -> Floats:
    """Gradients, right and down, of shape (rows, columns, 2): as long as 1 where they are strong.

    What is strong is told by the picture itself, so that a darker one has the same.
    """
    import cv2

    smooth = cv2.GaussianBlur(np.ascontiguousarray(grey), (0, 0), 0.8)
    gradients = np.dstack(
        [cv2.Sobel(smooth, cv2.CV_32F, *axis, scale=1 / 8) for axis in ((1, 0), (0, 1))]
    )
    strength = np.linalg.norm(gradients, axis=2, keepdims=True)
    usual = float(np.sqrt(np.mean(strength**2)))
    return np.asarray(gradients / (strength + usual / 2 + _FAINT), np.float32)


def _crest(line: Floats, at: int) -> float:
    """How far beside its greatest value a parabola through it and its neighbours is greatest."""
    if not 0 < at < len(line) - 1:
        return 0.0
    before, here, after = (float(v) for v in line[at - 1 : at + 2])
    bend = before - 2 * here + after
    return 0.5 * (before - after) / bend if bend < 0 else 0.0
