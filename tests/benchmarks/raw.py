"""What a raw or HEIF costs beside a JPEG of the same picture; half a minute.

`python -m tests.benchmarks.raw` writes raws of 24 and 45 megapixels, with and without a JPEG
inside, and HEIF in tiles as cameras write it, and prints how long each takes until its bytes, then
its pixels and metadata, are there. It ends with 1 if the latter of a raw with a JPEG take longer
than they may beside that JPEG by itself.
"""

from __future__ import annotations

import io
import sys
import tempfile
from functools import partial
from pathlib import Path
from typing import Literal

import numpy as np
import pillow_heif
import simplejpeg
from PIL import Image

from mocks.large import large_frame
from mocks.raw import dng
from tests.benchmarks.timing import in_turn, report
from tether.frame import metadata, picture

MOST_MORE_MS = 30.0
MEGAPIXELS: tuple[Literal[24, 45], ...] = (24, 45)
TILE_PX = 512
ROUNDS = 9


def main() -> None:
    """Print the table."""
    metadata.get_ready()
    good = []
    with tempfile.TemporaryDirectory(prefix="tether-raw-") as place:
        for megapixels in MEGAPIXELS:
            files = _written(Path(place), megapixels)
            steps = {name: partial(_read, path.read_bytes(), path) for name, path in files.items()}
            taken = in_turn(steps, ROUNDS)
            ms = {name: 1000 * float(np.median(one)) for name, one in taken.items()}
            reading = in_turn({name: path.read_bytes for name, path in files.items()}, ROUNDS)
            print(
                f"{megapixels} megapixels, median of {ROUNDS}: "
                "the file's bytes; then pixels and metadata"
            )
            for name, path in files.items():
                size, bytes_ms = path.stat().st_size / 1e6, 1000 * np.median(reading[name])
                print(f"  {name:<28} {size:6.1f} MB {bytes_ms:5.0f} ms {ms[name]:6.0f} ms")
            more = ms["a raw with that JPEG inside"] - ms["JPEG"]
            good.append(report("a raw with a JPEG inside costs more", more, MOST_MORE_MS, "ms"))
    sys.exit(0 if all(good) else 1)


def _read(data: bytes, path: Path) -> None:
    picture.read(data, path)


def _written(place: Path, megapixels: Literal[24, 45]) -> dict[str, Path]:
    coded = large_frame(megapixels, seed=1)
    grey = simplejpeg.decode_jpeg(coded, colorspace="GRAY")[..., 0]
    counts = grey.astype(np.uint16) * np.uint16(40) + np.uint16(600)
    heif = io.BytesIO()
    pillow_heif.from_pillow(Image.open(io.BytesIO(coded))).save(heif, quality=80, tile_size=TILE_PX)
    files = {
        "JPEG": ("bowl.jpg", coded),
        "a raw with that JPEG inside": ("with.dng", dng(counts, coded)),
        "a raw by its green samples": ("without.dng", dng(counts)),
        "HEIF": ("bowl.heic", heif.getvalue()),
    }
    for name, data in files.values():
        (place / name).write_bytes(data)
    return {kind: place / name for kind, (name, _) in files.items()}


if __name__ == "__main__":
    main()
