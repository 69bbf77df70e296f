"""The photographs of the calibration: where they come from, and which copies were used.

They are fetched with Debian's package client and never kept in the repository. Licences stand in
each package's `usr/share/doc/PACKAGE/copyright`: palapeli-data GPL-2+ with pictures of the public
domain and CC-BY-SA, opencv-doc Apache-2.0.
"""

from __future__ import annotations

import hashlib
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import special

F = NDArray[np.float64]

_PLACES = {
    "palapeli-data": "usr/share/palapeli/collection",
    "opencv-doc": "usr/share/doc/opencv-doc",
}
_REDUCTIONS = (2, 3, 4, 5, 6)
_LEAST_SIDE = 96  # px, of a reduced photograph
_SHARP = 0.55
_PATCH = 96


@dataclass(frozen=True, slots=True)
class Photograph:
    """A picture in a package; `digest` is its SHA-256.

    `focused` is the part that was in focus, as left, top, right, bottom in fractions of the
    picture, found by looking at it.
    """

    package: str
    name: str
    digest: str
    focused: tuple[float, float, float, float] = (0, 0, 1, 1)


@dataclass(frozen=True, slots=True)
class Content:
    """Light in [0, 1], shape (rows, columns), whose finest edges are about as sharp as pixels are.

    `native` is the standard deviation, px, of the Gaussian that they are blurred by all the same,
    beside the pixel.
    """

    light: F
    native: float


def contents(folder: Path) -> dict[str, list[Content]]:
    """Every photograph of `PHOTOGRAPHS` at each reduction that makes it sharp to the pixel."""
    found = {p.name: sharp_reductions(focused(p, folder)) for p in PHOTOGRAPHS}
    return {name: reductions for name, reductions in found.items() if reductions}


def sharp_reductions(light: F) -> list[Content]:
    """Average light over blocks of 2 x 2 px and more, and keep what is then sharp to the pixel.

    That is told from how much of the light's change over four pixels falls between two
    neighbours: all of it on an edge as sharp as pixels are, 2 P(0.5 / s) - 1 with P the normal
    distribution on one blurred by a Gaussian of standard deviation s. The 95th percentile over
    patches must reach `_SHARP`, and tells the blur that is left.
    """
    out = []
    for times in _REDUCTIONS:
        rows, columns = (n // times * times for n in light.shape)
        if min(rows, columns) // times < _LEAST_SIDE:
            break
        blocks = light[:rows, :columns].reshape(rows // times, times, columns // times, times)
        small = blocks.mean((1, 3))
        fine = _fineness(small)
        if fine >= _SHARP:
            sigma = 0.5 / float(special.ndtri((1 + min(fine, 0.95)) / 2))
            out.append(Content(small, float(np.sqrt(max(sigma**2 - 1 / 12, 0)))))
    return out[:3]


def _fineness(light: F) -> float:
    v = np.clip(light, 0, 1)
    coded = 255 * np.where(v <= 0.0031308, 12.92 * v, 1.055 * v ** (1 / 2.4) - 0.055)
    found = []
    for top in range(0, coded.shape[0] - _PATCH + 1, _PATCH // 2):
        for left in range(0, coded.shape[1] - _PATCH + 1, _PATCH // 2):
            patch = coded[top : top + _PATCH, left : left + _PATCH]
            for p in (patch, patch.T):
                near = np.percentile(np.abs(np.diff(p, axis=1)), 99.5)
                far = np.percentile(np.abs(p[:, 4:] - p[:, :-4]), 99.5)
                if far > 12:
                    found.append(float(near / (far + 2)))
    return float(np.percentile(found, 95)) if found else 0.0


def fetch(folder: Path) -> None:
    """Download the packages into `folder`, where they are not there yet, and unpack them."""
    folder.mkdir(parents=True, exist_ok=True)
    for package in _PLACES:
        if not list(folder.glob(f"{package}_*.deb")):
            subprocess.run(["apt-get", "download", package], cwd=folder, check=True)
        for deb in folder.glob(f"{package}_*.deb"):
            subprocess.run(["dpkg-deb", "-x", deb.name, "unpacked"], cwd=folder, check=True)


def focused(photograph: Photograph, folder: Path) -> F:
    """Light of what was in focus in a fetched photograph, by ITU-R BT.709.

    Raises
    ------
    ValueError
        The package holds another copy than the one that was calibrated on.
    """
    path = folder / "unpacked" / _PLACES[photograph.package] / photograph.name
    if hashlib.sha256(path.read_bytes()).hexdigest() != photograph.digest:
        raise ValueError(f"{path} is not the picture that was calibrated on")
    coded = np.asarray(Image.open(path).convert("RGB")) / 255
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    light = linear @ np.array([0.2126, 0.7152, 0.0722])
    left, top, right, bottom = photograph.focused
    rows, columns = light.shape
    return np.asarray(
        light[int(top * rows) : int(bottom * rows), int(left * columns) : int(right * columns)]
    )


PHOTOGRAPHS = (
    Photograph(
        "palapeli-data",
        "cincinnati-bridge.jpg",
        "09772d09318b34a5c5edd58ee86ff462bcd2907006f31cc8e0704310f8e9ab60",
        (0.0, 0.0, 1.0, 0.75),
    ),
    Photograph(
        "palapeli-data",
        "panther-chameleon-female.jpg",
        "adb9e2834a8a3db40ca3817452b956ada527085e5aa2bd604c465651a3834ae4",
        (0.12, 0.0, 0.9, 0.95),
    ),
    Photograph(
        "palapeli-data",
        "citrus-fruits.jpg",
        "0cbd7154a14789803167c86705130d0358875198231269df168ea26224e70848",
    ),
    Photograph(
        "opencv-doc",
        "examples/alphamat/input_images/plant.jpg",
        "9928b44eee0d1d7ab2ffd9d6d80bbbff962d6e85c7786de2cd3c97fe72229186",
        (0.15, 0.0, 1.0, 1.0),
    ),
    Photograph(
        "opencv-doc",
        "examples/data/aloeL.jpg",
        "cce5736808efe80d9f04b118dbb978c344d4345672b332718c3e039a3eeb8eee",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/baboon.jpg",
        "1a1dd18d78eec44420af3b0b7f08ee3d41c982916cae3ce203d7ff35d754cc0f",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/board.jpg",
        "4c9a24ba67138ad5486d550f586cc5dd1161be112f1c1bea336d6c550cdf255f",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/box_in_scene.png",
        "8b0225ff76244a42bd1400c0904f8b7afea7d97b7d8115495e42e98ad347bd51",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/building.jpg",
        "742a1baad62ac82e91e718e77eedf7e85c2eddc4badfb8c87c6cbc86c45a8b07",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/chicky_512.png",
        "4d2cf040de084fd3f34d5e3f96f1251faaa4787c1ac3b548fec5809a0d01854e",
        (0.1, 0.05, 0.9, 0.95),
    ),
    Photograph(
        "opencv-doc",
        "examples/data/leuvenA.jpg",
        "b2977cdbd9fb3f94dadd6f76cf586d145676deb8a22b5f0f42149d21c058c09f",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/rubberwhale1.png",
        "eb312435369dac9efcc92f7e098edbd9ed8d7e6dfede8b3b4d8e3702cd80b796",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/squirrel_cls.jpg",
        "20bb6e8ae96918a36c9886b6d48e54eedeb3948591e1485c206bc1dc60c8dc8b",
        (0.35, 0.25, 0.9, 0.9),
    ),
    Photograph(
        "opencv-doc",
        "examples/data/home.jpg",
        "23b8cf46a1965d0ec33459b875aed43187802834db49e0daa9fa2cc842e9d8d2",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/ela_original.jpg",
        "b55798b35e2dcb24675f0865a2442d0e4887eeb6aff322ecb1968d936cc23e7f",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/aero1.jpg",
        "d9a69191f6e3642ea361bc3c62e677b2f40fe6534b78da540f4155e0734b59ef",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/left.jpg",
        "fb314330c3eb0a81651c682803e73b348898157267fbc37c4c2c07d1b3a8e321",
    ),
    Photograph(
        "opencv-doc",
        "examples/data/starry_night.jpg",
        "accda7a19a90f22a4a922fdc8c230167d7abf5f80882171e2cee125c5f12481d",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext01.jpg",
        "7f3041a7019ab4d33d2452bc757d8c4f38616bfde71431e12f7ec370d7b2018e",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext02.jpg",
        "d4295bff9f348012f91a2cf745753124f85041fe3c3717146c6759c4cd977211",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext03.jpg",
        "cadf4a3d29a7ba6fe976b53fa65f490cc2868375e8feb3d93f26029f05c662ca",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext06.jpg",
        "e4d64f10bbfb27b2c5980cb048fd0abe20dd74868ba5460298de473ced53b518",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext_segmented_word01.jpg",
        "b1524d1ae02ba1ee07bc32285df1083cceca851a28a2f34db63f7cf1169893b2",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext_segmented_word02.jpg",
        "1c648c38ebf826968e5daacde0b6845ecfd824420de17a3132096056aa12a6c2",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext_segmented_word03.jpg",
        "6f60d1b006b81d95dcbae0723c4135dfcfe37b87b472faf056c8a35d910a2a7c",
    ),
    Photograph(
        "opencv-doc",
        "examples/text/scenetext_segmented_word04.jpg",
        "43524ab83453638e1f4e1aae64c50ecee898cf687612ffec6937ff7e6fd30a35",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/227943776_1.jpg",
        "b038fd3919363b92037715027c36f5671cc2f9cf1fda9770325f75daf9c8fa56",
        (0.25, 0.05, 0.75, 0.8),
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/4_barcodes.jpg",
        "1a6c1c1b9fda89a0002bdf0e17e4af678888f33fdfa8964fbf6dd5f4baab304f",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/astra_color.jpg",
        "b6a1e10ea441875639af8774bf01bb36ceb847fad0116e18e7bf19da6fe31c49",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/fusion_mertens.jpg",
        "55c82505db9ff727217f17bacf29f2117754a490d224425dbb51391858b42b85",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/pexels_double_decker_bus.jpg",
        "e4c4dd62995cbe30501798f86fcf5973c7abe3ff9f7711fdb72c6d1f7f304484",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/retina_TreeHdr_small.jpg",
        "17d768b8cd61a5b079a0547ba991c338d1a5789a8672000bec492ae5cf99329f",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/singlemarkersoriginal.jpg",
        "669cb5afa78a084e69baa472f5235d136179e409b6a3c5ccda6a457e723d4754",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/choriginal.jpg",
        "12eddb0bd4c67cc45ad00f3eec7870241eb19843173e0f212eee7e70ee5c3d1e",
    ),
    Photograph(
        "opencv-doc",
        "opencv4/html/gboriginal.png",
        "01a5e3512f88dcfe04412d2fcc4c08530f6692b0b3e75c48280877ccc3a26068",
    ),
)
