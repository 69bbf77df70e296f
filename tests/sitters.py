"""Two portraits with their eyes marked by hand, put into frames with everything known of them.

Both are in the public domain: Eileen Collins (NASA), which scikit-image carries, and Grace Hopper,
with glasses (United States Navy), which Matplotlib carries.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Self

import cv2
import matplotlib.cbook
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from skimage import data

from mocks.light import to_bytes, to_linear
from tests.portraits import PUPILS, U8, astronaut

Points = NDArray[np.float64]

# Marked in the picture enlarged six times: middles of the pupils, the subject's right, left.
_HOPPER = ((222.8, 190.2), (306.3, 185.8))


@dataclass(frozen=True, slots=True)
class Sitter:
    """A portrait and its eyes: the subject's right and left, px from the top-left corner.

    `there` is 1 where the picture shows something.
    """

    picture: U8
    eyes: Points
    there: U8

    @property
    def eye_distance(self) -> float:
        """Px."""
        return float(np.hypot(*(self.eyes[1] - self.eyes[0])))

    def sized(self, eye_distance: float, roll_deg: float = 0.0) -> Self:
        """The portrait with its eyes so far apart, turned counter-clockwise."""
        scale = eye_distance / self.eye_distance
        high, wide = self.picture.shape
        picture = self.picture
        if scale < 1:
            picture = cv2.GaussianBlur(picture, (0, 0), 0.5 * math.sqrt(1 / scale**2 - 1) + 0.01)
        turn = cv2.getRotationMatrix2D((wide / 2, high / 2), roll_deg, scale)
        cos, sin = abs(turn[0, 0]), abs(turn[0, 1])
        size = math.ceil(cos * wide + sin * high), math.ceil(sin * wide + cos * high)
        turn[:, 2] += np.array(size) / 2 - np.array([wide, high]) / 2
        eyes = self.eyes @ turn[:, :2].T + turn[:, 2]
        # OpenCV counts from the middles of pixels.
        turn[:, 2] += turn[:, :2] @ [0.5, 0.5] - 0.5
        return replace(
            self,
            picture=cv2.warpAffine(picture, turn, size, flags=cv2.INTER_CUBIC),
            eyes=eyes,
            there=cv2.warpAffine(self.there, turn, size, flags=cv2.INTER_NEAREST),
        )

    def mirrored(self) -> Self:
        """The portrait's mirror image: what was the right eye is the left one now."""
        eyes = np.array([self.picture.shape[1], 0]) + self.eyes[::-1] * [-1, 1]
        return replace(
            self,
            picture=np.ascontiguousarray(self.picture[:, ::-1]),
            eyes=eyes,
            there=np.ascontiguousarray(self.there[:, ::-1]),
        )

    def blurred(self, px: float) -> Self:
        """The portrait with edges at least so many px wide."""
        return replace(self, picture=cv2.GaussianBlur(self.picture, (0, 0), px / 2.563103))

    def yawed(self, deg: float) -> Self:
        """The head turned so that the right eye comes nearer (positive) or the left one.

        A rounded head, the nose tip 0.4 eye distances before the eyes (as `face_zones` supposes
        it), seen from afar. Good to 25 degrees: nothing is hidden.
        """
        unit, middle = self.eye_distance, self.eyes.mean(axis=0)
        turn = math.radians(deg)
        rows, columns = np.indices(self.picture.shape)
        aside = (columns + 0.5 - middle[0]) / unit
        down = (rows + 0.5 - middle[1]) / unit
        source = aside.copy()
        for _ in range(60):
            wanted = (aside - _depth(source, down) * math.sin(turn)) / math.cos(turn)
            source = (source + wanted) / 2
        x = (source * unit + middle[0] - 0.5).astype(np.float32)
        picture = cv2.remap(
            self.picture, x, rows.astype(np.float32), cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT
        )
        side, below = ((self.eyes - middle) / unit).T
        seen = side * math.cos(turn) + _depth(side, below) * math.sin(turn)
        eyes = np.stack([seen * unit + middle[0], self.eyes[:, 1]], axis=1)
        return replace(self, picture=picture, eyes=eyes)

    def with_glasses(self) -> Self:
        """The portrait with rims drawn about the eyes."""
        picture, unit = self.picture.copy(), self.eye_distance
        thick = max(round(0.05 * unit), 1)
        (x1, y1), (x2, y2) = self.eyes
        for x, y in self.eyes:
            axes = round(0.4 * unit), round(0.3 * unit)
            cv2.ellipse(picture, (round(x), round(y)), axes, 0, 0, 360, 25, thick, cv2.LINE_AA)
        ends = [(round(x1 + 0.4 * (x2 - x1)), round(y1)), (round(x1 + 0.6 * (x2 - x1)), round(y2))]
        cv2.line(picture, ends[0], ends[1], 25, thick, cv2.LINE_AA)
        return replace(self, picture=picture)

    def covered(
        self, eye: int, tone: int, lash: bool = False, size: tuple[float, float] = (0.3, 0.24)
    ) -> Self:
        """The portrait with an eye (0 the right one) under a patch; as if closed, with `lash`.

        `size` is half its width and height, in eye distances.
        """
        unit, (x, y) = self.eye_distance, self.eyes[eye]
        patch = np.zeros(self.picture.shape, np.float32)
        at, axes = (round(x), round(y)), (round(size[0] * unit), round(size[1] * unit))
        cv2.ellipse(patch, at, axes, 0, 0, 360, 1.0, -1, cv2.LINE_AA)
        patch = cv2.GaussianBlur(patch, (0, 0), 0.02 * unit)
        picture = np.asarray(self.picture * (1 - patch) + tone * patch, np.uint8)
        if lash:
            axes = round(0.2 * unit), round(0.06 * unit)
            thick = max(round(0.025 * unit), 1)
            cv2.ellipse(picture, at, axes, 0, 10, 170, round(0.4 * tone), thick, cv2.LINE_AA)
        return replace(self, picture=picture)

    def with_dark_glasses(self) -> Self:
        """The portrait with a dark lens of usual size, 55 by 42 mm, before each eye."""
        lens = (0.42, 0.32)
        return self.covered(0, 12, size=lens).covered(1, 12, size=lens)


@cache
def sitters() -> tuple[Sitter, Sitter]:
    """Both portraits, in grey."""
    first = astronaut()
    path = matplotlib.cbook.get_sample_data("grace_hopper.jpg", asfileobj=False)
    colour = np.asarray(Image.open(str(path)).convert("RGB"))
    second = to_bytes((to_linear(colour / 255) @ [0.2126, 0.7152, 0.0722]).astype(np.float32))
    return (
        Sitter(first, np.array(PUPILS), np.ones_like(first)),
        Sitter(second, np.array(_HOPPER), np.ones_like(second)),
    )


def put(frame: U8, sitter: Sitter, left: int, top: int) -> Points:
    """Put a portrait into a frame, what is outside it cut off; returns the eyes' places."""
    rows, columns = frame.shape
    high, wide = sitter.picture.shape
    y0, x0 = max(-top, 0), max(-left, 0)
    y1, x1 = min(rows - top, high), min(columns - left, wide)
    part = frame[top + y0 : top + y1, left + x0 : left + x1]
    np.copyto(part, sitter.picture[y0:y1, x0:x1], where=sitter.there[y0:y1, x0:x1] > 0)
    return np.asarray(sitter.eyes + np.array([left, top]))


@cache
def backdrop(name: str, shape: tuple[int, int]) -> U8:
    """A photograph without people that scikit-image carries, as large as the frame."""
    picture = np.asarray(getattr(data, name)())
    grey = picture if picture.ndim == 2 else picture[..., 1]
    large = cv2.resize(grey, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(large, np.uint8)


def darkened(frame: U8, stops: float) -> U8:
    """The frame with so many stops less light."""
    levels = to_linear(np.arange(256, dtype=np.float32) / 255) * np.float32(2**-stops)
    return np.asarray(to_bytes(levels)[frame], np.uint8)


def grained(frame: U8, noise: float, rng: np.random.Generator) -> U8:
    """The frame with white noise, its standard deviation a share of full scale."""
    tile = np.rint(255 * noise * rng.standard_normal((500, 600))).astype(np.int16)
    times = [math.ceil(a / b) for a, b in zip(frame.shape, tile.shape, strict=True)]
    grain = np.tile(tile, times)[: frame.shape[0], : frame.shape[1]]
    return np.asarray(np.clip(frame.astype(np.int16) + grain, 0, 255), np.uint8)


def _depth(aside: Points, down: Points) -> Points:
    """How far a head reaches before its eyes, in eye distances."""
    round_ = 0.6 * (1 + np.cos(np.pi * np.clip(np.hypot(aside, down / 1.35) / 1.5, 0, 1)))
    nose = 0.3 * np.exp(-((aside / 0.25) ** 2 + ((down - 0.6) / 0.3) ** 2) / 2)
    at_eyes = 0.6 * (1 + math.cos(math.pi / 3))
    return np.asarray(round_ + nose - at_eyes)


def far_off(face_px: float = 0.0, centre_px: float = 0.0, right: int = 2300) -> tuple[U8, Points]:
    """A frame of 3000 x 2000 px with a small face far from its centre, and where the eyes are.

    The face is 3 % of the frame's longer side, so that a first look does not find it. Its edges,
    and those of what lies in the centre, are widened to so many px. `right` is where it begins.
    """
    frame = backdrop("gravel", (2000, 3000)).copy()
    cups = backdrop("coffee", (400, 600))
    if centre_px:
        cups = cv2.GaussianBlur(cups, (0, 0), centre_px / 2.563103)
    frame[800:1200, 1200:1800] = cups
    sitter = sitters()[0].sized(34.0)
    if face_px:
        sitter = sitter.blurred(face_px)
    return frame, put(frame, sitter, right, 300)
