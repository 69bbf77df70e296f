"""Subjects that the measurement is scored on; none of them was used to calibrate it.

Photographs that come inside scikit-image and scikit-learn, the rendered shoot of `mocks`, a face
and skin among them, and, where their packages were fetched, photographs of Debian's palapeli-data
and opencv-doc that the calibration does not name.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from skimage import data
from sklearn.datasets import load_sample_image

from calibration.photographs import Content, Photograph, focused, sharp_reductions
from mocks.scenes import bowl, compose, maker
from tests.sharpness.pictures import light

F = NDArray[np.float64]

_WHOLE = (0.0, 0.0, 1.0, 1.0)
_IN_PACKAGES = {
    "astronaut": _WHOLE,
    "brick": _WHOLE,
    "camera": (0, 0, 1, 0.97),
    "chelsea": (0.1, 0, 0.9, 0.9),
    "china.jpg": _WHOLE,
    "coffee": (0.1, 0, 0.9, 0.95),
    "coins": _WHOLE,
    "flower.jpg": (0.25, 0, 0.65, 1),
    "grass": _WHOLE,
    "gravel": _WHOLE,
    "hubble_deep_field": _WHOLE,
    "immunohistochemistry": _WHOLE,
    "moon": _WHOLE,
    "retina": (0.2, 0.2, 0.8, 0.8),
    "rocket": _WHOLE,
    "stereo_motorcycle": _WHOLE,
}
"""Names, and the parts in focus as left, top, right, bottom in fractions."""


def subjects(folder: Path | None) -> dict[str, list[Content]]:
    """Every subject at each reduction that makes it sharp to the pixel."""
    found = {name: _cut(_in_package(name), part) for name, part in _IN_PACKAGES.items()}
    for name, scene in (("maker", maker()), ("bowl", bowl())):
        found[name] = _luma(compose(scene))
    if folder is not None:
        found |= {one.name: focused(one, folder) for one in FETCHED}
    reduced = {name: sharp_reductions(picture) for name, picture in found.items()}
    return {name: some for name, some in reduced.items() if some}


@cache
def _in_package(name: str) -> F:
    if name.endswith(".jpg"):
        return _luma(light(np.asarray(load_sample_image(name))))
    picture = getattr(data, name)()
    picture = np.asarray(picture[0] if isinstance(picture, tuple) else picture)
    return light(picture) if picture.ndim == 2 else _luma(light(picture[..., :3]))


def _luma(linear: NDArray[np.floating]) -> F:
    """Luminance of linear light, ITU-R BT.709."""
    return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]), np.float64)


def _cut(picture: F, part: tuple[float, float, float, float]) -> F:
    rows, columns = picture.shape
    left, top, right, bottom = part
    return picture[int(top * rows) : int(bottom * rows), int(left * columns) : int(right * columns)]


FETCHED = (
    Photograph(
        "palapeli-data",
        "european-honey-bee.jpg",
        "9d54ae706bddd899c91b2b801d9ca4556a5a9a399b4043f9d539df62a8cb7f27",
        (0.2, 0.2, 0.75, 0.75),
    ),
    Photograph(
        "palapeli-data",
        "castle-maintenon.jpg",
        "f4a6bf48b97d97715413f9ebd2d8744bd46df0e492bc8326e2513d51084f2612",
        (0.0, 0.1, 1.0, 1.0),
    ),
    Photograph(
        "opencv-doc",
        "examples/data/fruits.jpg",
        "9c031d80a1c52da5eca790db896baffec6a7e52bf786cdb7bbfca5c7f880e6a1",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/graf1.png",
        "1504b769303c7bde00fa578eeaad3c68e02aceabeb1242e556f1f8d19e4bdea5",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/messi5.jpg",
        "1d570e49654e84c7a943918537bd9e5e1ef82920152e147c834006e235be97c9",
        (0.15, 0.05, 0.75, 0.95),
    ),
    Photograph(
        "opencv-doc",
        "examples/data/sudoku.png",
        "000cf81b7ce795013ae02bc9dfb0952aa34153c8c0e7fc99c81918e0738d1f09",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/butterfly.jpg",
        "34a99716b78ded10eae87b4880de739d3e68cc7dd1a96812bb28f469d5eeaea8",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext04.jpg",
        "28e08d142a04f92f96d01ff2674f7804321841cba95bd968980cdc85ef0af6df",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext05.jpg",
        "63985ac1a9989a8320605d5be0ec285af0c6304a78cc9cc5de6c2c7c435f7c0b",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext_segmented_word05.jpg",
        "3c805afc795596442fedaf3576b4c29d5fbad98e472cb6f30151ea62697115fa",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/230501201_1.jpg",
        "fe4ffecdddbd2d319d5d6af1b144fe5eaeb7b845e4835dc9907fd7b9283e5c2f",
        (0.1, 0.05, 0.85, 1.0),
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/newspaper.jpg",
        "9564a91a69830f3bd18e0a68b6a74aedd802101c7bef5f239546dd87181064d0",
        (0.0, 0.05, 1.0, 0.95),
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/realsense.jpg",
        "169ae127a1334d0992fc12a3a1057d4a079115fdc16bdc7f84206923f76d433a",
    ),
)
