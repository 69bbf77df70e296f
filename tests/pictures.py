"""Pictures for tests, from the public-domain ones that scikit-image carries."""

from __future__ import annotations

import io
from pathlib import Path

import exiv2
import numpy as np
import simplejpeg
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage
from skimage import data


def grey(scale: int = 1) -> NDArray[np.uint8]:
    """512 x 512 px of a photograph (a man with a camera), or less when reduced `scale` times."""
    return np.ascontiguousarray(data.camera()[::scale, ::scale])


def portrait(blur_sigma: float = 0.0) -> NDArray[np.uint8]:
    """512 x 512 px RGB of a portrait, blurred by a Gaussian in coded values."""
    colour = data.astronaut()
    if not blur_sigma:
        return np.ascontiguousarray(colour)
    return np.asarray(ndimage.gaussian_filter(colour, (blur_sigma, blur_sigma, 0)))


def jpeg(pixels: NDArray[np.uint8], exif: dict[str, str] | None = None, quality: int = 95) -> bytes:
    """JPEG of a grey or RGB array, with Exif keys and values as exiv2 names them."""
    if pixels.ndim == 2:
        grey_array = np.ascontiguousarray(pixels)[..., np.newaxis]
        coded = simplejpeg.encode_jpeg(
            grey_array, quality=quality, colorspace="GRAY", colorsubsampling="Gray"
        )
    else:
        coded = simplejpeg.encode_jpeg(np.ascontiguousarray(pixels), quality=quality)
    return tagged(bytes(coded), exif) if exif else bytes(coded)


def tagged(coded: bytes, exif: dict[str, str]) -> bytes:
    """The same picture with these Exif tags."""
    image = exiv2.ImageFactory.open(coded)
    image.readMetadata()
    tags = image.exifData()
    for key, value in exif.items():
        tags[key] = value
    image.setExifData(tags)
    image.writeMetadata()
    return bytes(image.io().mmap())


def through_pillow(
    pixels: NDArray[np.uint8] | NDArray[np.uint16], kind: str, **how: object
) -> bytes:
    """The picture as another library writes it."""
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, kind, **how)
    return out.getvalue()


def write(path: Path, content: bytes) -> Path:
    """Put a file there, whole at once, as a camera program does: another name, then this."""
    part = path.with_name(f".{path.name}.part")
    part.write_bytes(content)
    part.replace(path)
    return path


def soft_in_the_middle() -> NDArray[np.uint8]:
    """1024 x 1024 px RGB: a cup six times, sharp but for the middle, out of focus there."""
    sharp = np.tile(data.coffee(), (3, 2, 1))[:1024, :1024]
    soft = ndimage.gaussian_filter(sharp, (4, 4, 0))
    sharp[256:768, 256:768] = soft[256:768, 256:768]
    return np.ascontiguousarray(sharp)
