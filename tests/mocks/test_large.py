"""Large frames are as heavy as a camera's and sharp where they say."""

from __future__ import annotations

import io

import numpy as np
import simplejpeg
from PIL import ExifTags, Image

from mocks.large import SIZES, large_frame

_SUBJECT_AREA = 0x9214


def test_a_large_frame() -> None:
    data = large_frame(24, seed=3)
    assert simplejpeg.decode_jpeg_header(data)[:2] == SIZES[24][::-1]
    assert 7e6 < len(data) < 15e6
    with Image.open(io.BytesIO(data)) as picture:
        exif = picture.getexif().get_ifd(ExifTags.IFD.Exif)
    x, y, width, height = exif[_SUBJECT_AREA]
    grey = simplejpeg.decode_jpeg(data, colorspace="GRAY")[..., 0].astype(float)
    area = grey[y - height // 2 : y + height // 2, x - width // 2 : x + width // 2]
    # A step of the print rises within two or three px.
    assert np.abs(np.diff(area, axis=1)).max() > 0.3 * np.ptp(area)
    corner = grey[:400, :400]
    assert np.std(np.diff(corner, axis=1)) > 2
