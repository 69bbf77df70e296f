"""A frame of the pottery seen by a camera that moves: cut out of a larger picture."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from mocks.scenes import bowl, compose, maker
from tether.model import Rect

WIDTH, HEIGHT = 1440, 960
SPARE = 120
LABEL = Rect(1034 - SPARE, 770 - SPARE, 318, 200)
"""Where the bowl's card lies in a frame that did not move."""


@lru_cache(maxsize=2)
def _light(which: str) -> NDArray[np.float64]:
    picture = compose({"bowl": bowl, "maker": maker}[which]())
    return np.asarray(picture @ [0.2126, 0.7152, 0.0722])


def frame(
    right: int = 0,
    down: int = 0,
    *,
    of: str = "bowl",
    light: float = 1.0,
    blur_sigma: float = 0.0,
    noise: float = 1.5,
) -> NDArray[np.uint8]:
    """Luma, (HEIGHT, WIDTH), whose content lies so many px right and down of where it was."""
    top, left = SPARE - down, SPARE - right
    cut = light * _light(of)[top : top + HEIGHT, left : left + WIDTH]
    if blur_sigma:
        cut = ndimage.gaussian_filter(cut, blur_sigma)
    coded = 255 * np.clip(cut, 0, 1) ** (1 / 2.2)
    coded += np.random.default_rng(1000 + right).normal(0, noise, coded.shape)
    return np.clip(coded, 0, 255).astype(np.uint8)
