"""The camera's part: the noise of its sensor, and the picture file that it writes."""

from __future__ import annotations

import numpy as np
import simplejpeg

from mocks.light import Field, Pixels, to_bytes

FULL_WELL = 60_000
"""Electrons that make full scale at ISO 100 on a pixel of about 6 µm."""

READ_NOISE = 3.0
"""Electrons, standard deviation."""


def expose(linear: Field, iso: int, rng: np.random.Generator) -> Pixels:
    """Return the 8-bit sRGB picture of a light field, with shot and read noise.

    Parameters
    ----------
    linear
        Linear light, 1 at full scale, shape (height, width, 3).
    iso
        The sensitivity: full scale is `FULL_WELL` * 100 / `iso` electrons.
    rng
        Where the noise comes from.
    """
    scale = FULL_WELL * 100 / iso
    noise = rng.standard_normal(linear.shape, np.float32)
    noise *= np.sqrt(np.clip(linear, 0, None) / scale + (READ_NOISE / scale) ** 2)
    noise += linear
    return to_bytes(noise)


def jpeg(picture: Pixels, quality: int = 95, chroma: str = "422") -> bytes:
    """Return the JPEG file of an 8-bit picture, shape (height, width, 3)."""
    data: bytes = simplejpeg.encode_jpeg(
        np.ascontiguousarray(picture), quality=quality, colorsubsampling=chroma
    )
    return data
