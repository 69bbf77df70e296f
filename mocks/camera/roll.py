"""What the camera shoots: the rendered shoot, each frame with bytes of its own, and large pairs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from mocks.shoot import SHOOT, render

_RAW_BYTES = 48_000_000
_DNG = b"II*\0\x08\0\0\0\0\0\0\0\0\0"


def shoot() -> Iterator[bytes]:
    """Yield the JPEG of each frame of the shoot, rendered when it is asked for."""
    for shot in SHOOT:
        yield render(shot)


def pair(stem: str, seed: int = 0) -> dict[str, bytes]:
    """Return a JPEG of 45 megapixels and a raw file beside it, by their names.

    The raw has the size of a real one and no picture in it: it is fetched, and never decoded.
    """
    return {f"{stem}.JPG": numbered(_large(), seed), f"{stem}.DNG": raw(seed)}


def raw(seed: int = 0, size: int = _RAW_BYTES) -> bytes:
    """Return a file that begins as a DNG does, with noise behind it."""
    return _DNG + np.random.default_rng(seed).bytes(size - len(_DNG))


def numbered(jpeg: bytes, number: int) -> bytes:
    """Return the same picture with a comment in it (ISO/IEC 10918-1 B.2.4.5), to tell it by."""
    said = f"frame {number:08d}".encode()
    return jpeg[:2] + b"\xff\xfe" + (len(said) + 2).to_bytes(2, "big") + said + jpeg[2:]


@lru_cache(maxsize=1)
def _large() -> bytes:
    from mocks.large import large_frame

    return large_frame(45)
