"""Ordinary frames: no code in them, but much that alternates as one does, or looks like bars."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import cv2
import numpy as np
from skimage import data
from sklearn.datasets import load_sample_image

from calibration import textures
from mocks.scenes import bowl, compose, maker
from mocks.sensor import expose
from tests.portraits import U8
from tests.sharpness.photographs import SAMPLES

Rng = np.random.Generator

PHOTOGRAPHS = (
    *("brick", "camera", "astronaut", "cell", "chelsea", "clock", "coffee", "coins", "grass"),
    *("gravel", "hubble_deep_field", "immunohistochemistry", "moon", "page", "retina", "rocket"),
    "text",
)
TEXTURES = (
    *(textures.gravel, textures.turf, textures.masonry),
    *(textures.branches, textures.cloth, textures.crackle),
)
_SIZES = ((1500, 1000), (2400, 1600), (3000, 2000))


def ordinary(rng: Rng) -> Iterator[tuple[str, U8]]:
    """Frames without end, a kind after the other: its name, and the frame."""
    kinds: dict[str, Callable[[Rng], U8]] = {
        "photograph": photograph,
        "studio": studio,
        "texture": texture,
        "bars": bars,
        "lettering": lettering,
        "grid": grid,
        "shelf": shelf,
    }
    while True:
        for name, make in kinds.items():
            width, height = _SIZES[int(rng.integers(len(_SIZES)))]
            yield name, _taken(_covering(make(rng), width, height), rng)


def photograph(rng: Rng) -> U8:
    """A part of a photograph, at any size from a half to five times."""
    names = (*PHOTOGRAPHS, *SAMPLES)
    name = names[int(rng.integers(len(names)))]
    picture = np.asarray(load_sample_image(name) if name in SAMPLES else getattr(data, name)())
    grey = picture if picture.ndim == 2 else picture[..., 1]
    return _part(np.asarray(grey, np.uint8), rng)


def studio(rng: Rng) -> U8:
    """The pottery of the rehearsal, with its card that has bars drawn on it, or its maker."""
    scene = bowl() if rng.random() < 0.6 else maker(bool(rng.random() < 0.5))
    light = compose(scene, float(rng.choice([0.0, -8.0, 13.0]))).copy()
    return _part(cv2.cvtColor(expose(light, 400, rng), cv2.COLOR_RGB2GRAY), rng)


def texture(rng: Rng) -> U8:
    """Gravel, turf, masonry, branches, cloth or crackle."""
    light = TEXTURES[int(rng.integers(len(TEXTURES)))](240, rng)
    return np.asarray(255 * np.clip(light, 0, 1) ** (1 / 2.2), np.uint8)


def bars(rng: Rng) -> U8:
    """Slats, ribs or stripes of a fabric, even or uneven, straight or turned, on plain ground."""
    width, height = int(rng.integers(400, 1500)), int(rng.integers(80, 900))
    unit, most = rng.uniform(2, 14), int(rng.integers(1, 5))
    uneven = rng.uniform(0, 0.2) if rng.random() < 0.5 else 0.0
    widths = unit * rng.integers(1, most + 1, 800) * (1 + uneven * rng.standard_normal(800))
    row = np.searchsorted(np.cumsum(np.abs(widths)), np.arange(width)) % 2
    low, high = sorted(rng.uniform(10, 245, 2))
    ground = rng.choice([low, high, rng.uniform(10, 245)])
    patch = np.tile(np.where(row, high, low).astype(np.float32), (height, 1))
    picture = np.full((1000, 1500), ground, np.float32)
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), float(rng.normal(0, 20)), 1.0)
    turn[:, 2] += [750 - width / 2, 500 - height / 2]
    cv2.warpAffine(
        patch, turn, (1500, 1000), picture, cv2.INTER_AREA, borderMode=cv2.BORDER_TRANSPARENT
    )
    return np.asarray(
        np.clip(cv2.GaussianBlur(picture, (0, 0), rng.uniform(0.4, 2)), 0, 255), np.uint8
    )


def lettering(rng: Rng) -> U8:
    """Lines of print, in columns or across, small and large."""
    picture = np.full((1000, 1500), int(rng.integers(180, 250)), np.uint8)
    font = int(rng.integers(0, 8))
    y = 20
    while y < 1000:
        scale = float(rng.uniform(0.4, 3))
        letters = "".join(rng.choice(list("ABCDEHIKLMNTXil1|/ 0123456789"), 90))
        cv2.putText(
            picture, letters, (int(rng.integers(0, 60)), y), font, scale, 20, max(int(scale), 1)
        )
        y += int(28 * scale) + 6
    return _part(picture, rng)


def grid(rng: Rng) -> U8:
    """Tiles, keys or a chequered cloth: squares in random tones or two of them."""
    cell = int(rng.integers(6, 60))
    rows, columns = 1000 // cell + 1, 1500 // cell + 1
    if rng.random() < 0.5:
        tones = rng.integers(20, 240, (rows, columns))
    elif rng.random() < 0.5:
        tones = np.where(rng.random((rows, columns)) < 0.5, 30, 220)
    else:
        tones = np.where(np.add.outer(np.arange(rows), np.arange(columns)) % 2, 30, 220)
    picture = np.kron(tones, np.ones((cell, cell)))[:1000, :1500]
    joint = int(rng.integers(0, max(cell // 5, 1) + 1))
    if joint:
        picture[np.arange(1000) % cell < joint] = 120
        picture[:, np.arange(1500) % cell < joint] = 120
    return np.asarray(picture, np.uint8)


def shelf(rng: Rng) -> U8:
    """Spines of books, or pencils in a row, in several rows with bare wall between."""
    picture = np.full((1000, 1500), int(rng.integers(60, 240)), np.uint8)
    for top in range(40, 960, 240):
        x = int(rng.integers(20, 400))
        end = int(rng.integers(700, 1480))
        thick = rng.uniform(3, 30)
        while x < end:
            wide = max(int(thick * rng.uniform(0.5, 2)), 1)
            high = int(200 * rng.uniform(0.75, 1))
            picture[top + 200 - high : top + 200, x : x + wide] = int(rng.integers(5, 250))
            x += wide + int(rng.random() < 0.3)
    return picture


def _part(picture: U8, rng: Rng) -> U8:
    rows, columns = picture.shape
    share = float(rng.uniform(0.3, 1))
    high, wide = max(int(share * rows), 64), max(int(share * columns), 64)
    y, x = int(rng.integers(rows - high + 1)), int(rng.integers(columns - wide + 1))
    return picture[y : y + high, x : x + wide]


def _covering(picture: U8, width: int, height: int) -> U8:
    """A picture so large that it covers a frame, and cut to it."""
    times = max(width / picture.shape[1], height / picture.shape[0])
    size = (
        max(round(picture.shape[1] * times), width),
        max(round(picture.shape[0] * times), height),
    )
    return np.asarray(
        cv2.resize(picture, size, interpolation=cv2.INTER_CUBIC)[:height, :width], np.uint8
    )


def _taken(picture: U8, rng: Rng) -> U8:
    """Turned by quarters at times, darker or not, with noise."""
    turned = np.rot90(picture, int(rng.integers(4)) if rng.random() < 0.4 else 0)
    light = float(rng.choice([1.0, 0.7, 0.4]))
    noise = cv2.randn(np.empty(turned.shape, np.float32), 0.0, float(rng.choice([0.5, 2.0, 6.0])))
    return np.asarray(np.clip(turned * np.float32(light) + noise, 0, 255), np.uint8)
