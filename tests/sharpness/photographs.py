"""Photographs that come with scikit-image and scikit-learn, as light."""

from __future__ import annotations

from functools import cache

import numpy as np
from skimage import data

from tests.sharpness.pictures import U8, F, light, reduced

NAMES = ("camera", "astronaut", "coffee", "chelsea", "brick", "page", "text", "rocket", "coins")
SAMPLES = ("china.jpg", "flower.jpg")


def _grey(picture: U8) -> F:
    if picture.ndim == 2:
        return light(picture)
    # Luma of linear light, ITU-R BT.709.
    return np.asarray(light(picture[..., :3]) @ np.array([0.2126, 0.7152, 0.0722]))


@cache
def photograph(name: str, times: int = 2) -> F:
    """Light of a photograph, reduced so that what was sharp in it is sharp to the pixel."""
    if name in SAMPLES:
        from sklearn.datasets import load_sample_image

        return reduced(_grey(np.asarray(load_sample_image(name))), times)
    return reduced(_grey(np.asarray(getattr(data, name)())), times)
