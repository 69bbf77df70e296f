"""The photographs of the calibration: where they come from, and which copies were used.

They are fetched with Debian's package client and never kept in the repository. Licences stand in
each package's `usr/share/doc/PACKAGE/copyright`: lomiri-wallpapers-20.04 CC-BY-SA-4.0,
palapeli-data GPL-2+ with pictures of the public domain and CC-BY-SA, opencv-doc Apache-2.0.
"""

from __future__ import annotations

import hashlib
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.sharpness.pictures import light, reduced

_PLACES = {
    "lomiri-wallpapers-20.04": "usr/share/backgrounds",
    "palapeli-data": "usr/share/palapeli/collection",
    "opencv-doc": "usr/share/doc/opencv-doc/examples",
}


@dataclass(frozen=True, slots=True)
class Photograph:
    """A picture in a package, reduced `times` so that what was sharp is sharp to the pixel.

    `digest` is the first half of its SHA-256, in hexadecimal digits.
    """

    package: str
    name: str
    times: int
    digest: str


PHOTOGRAPHS = (
    Photograph(
        "lomiri-wallpapers-20.04",
        "Kleiber_by_Lukas_Baubkus.jpg",
        9,
        "6572410c09f4492c74ccadde133565a1",
    ),
    Photograph(
        "opencv-doc", "alphamat/input_images/plant.jpg", 2, "9928b44eee0d1d7ab2ffd9d6d80bbbff"
    ),
    Photograph("opencv-doc", "data/aloeL.jpg", 2, "cce5736808efe80d9f04b118dbb978c3"),
    Photograph("opencv-doc", "data/baboon.jpg", 2, "1a1dd18d78eec44420af3b0b7f08ee3d"),
    Photograph("opencv-doc", "data/board.jpg", 2, "4c9a24ba67138ad5486d550f586cc5dd"),
    Photograph("opencv-doc", "data/box_in_scene.png", 2, "8b0225ff76244a42bd1400c0904f8b7a"),
    Photograph("opencv-doc", "data/building.jpg", 2, "742a1baad62ac82e91e718e77eedf7e8"),
    Photograph("opencv-doc", "data/chicky_512.png", 2, "4d2cf040de084fd3f34d5e3f96f1251f"),
    Photograph("opencv-doc", "data/fruits.jpg", 2, "9c031d80a1c52da5eca790db896baffe"),
    Photograph("opencv-doc", "data/graf1.png", 2, "1504b769303c7bde00fa578eeaad3c68"),
    Photograph("opencv-doc", "data/leuvenA.jpg", 2, "b2977cdbd9fb3f94dadd6f76cf586d14"),
    Photograph("opencv-doc", "data/messi5.jpg", 2, "1d570e49654e84c7a943918537bd9e5e"),
    Photograph("opencv-doc", "data/rubberwhale1.png", 2, "eb312435369dac9efcc92f7e098edbd9"),
    Photograph("opencv-doc", "data/squirrel_cls.jpg", 2, "20bb6e8ae96918a36c9886b6d48e54ee"),
    Photograph("opencv-doc", "text/scenetext01.jpg", 2, "7f3041a7019ab4d33d2452bc757d8c4f"),
    Photograph("opencv-doc", "text/scenetext02.jpg", 2, "d4295bff9f348012f91a2cf745753124"),
    Photograph("opencv-doc", "text/scenetext04.jpg", 2, "28e08d142a04f92f96d01ff2674f7804"),
    Photograph("opencv-doc", "text/scenetext05.jpg", 2, "63985ac1a9989a8320605d5be0ec285a"),
    Photograph("opencv-doc", "text/scenetext06.jpg", 2, "e4d64f10bbfb27b2c5980cb048fd0abe"),
    Photograph(
        "opencv-doc", "text/scenetext_segmented_word01.jpg", 2, "b1524d1ae02ba1ee07bc32285df1083c"
    ),
    Photograph(
        "opencv-doc", "text/scenetext_segmented_word02.jpg", 2, "1c648c38ebf826968e5daacde0b6845e"
    ),
    Photograph(
        "opencv-doc", "text/scenetext_segmented_word03.jpg", 2, "6f60d1b006b81d95dcbae0723c4135df"
    ),
    Photograph(
        "opencv-doc", "text/scenetext_segmented_word04.jpg", 2, "43524ab83453638e1f4e1aae64c50ece"
    ),
    Photograph("palapeli-data", "castle-maintenon.jpg", 2, "f4a6bf48b97d97715413f9ebd2d8744b"),
    Photograph("palapeli-data", "cincinnati-bridge.jpg", 2, "09772d09318b34a5c5edd58ee86ff462"),
    Photograph("palapeli-data", "citrus-fruits.jpg", 2, "0cbd7154a14789803167c86705130d03"),
    Photograph("palapeli-data", "european-honey-bee.jpg", 2, "9d54ae706bddd899c91b2b801d9ca455"),
    Photograph(
        "palapeli-data", "panther-chameleon-female.jpg", 2, "adb9e2834a8a3db40ca3817452b956ad"
    ),
)


def fetch(folder: Path) -> None:
    """Download the packages into `folder`, where they are not there yet, and unpack them."""
    folder.mkdir(parents=True, exist_ok=True)
    for package in _PLACES:
        if not list(folder.glob(f"{package}_*.deb")):
            subprocess.run(["apt-get", "download", package], cwd=folder, check=True)
        for deb in folder.glob(f"{package}_*.deb"):
            subprocess.run(["dpkg-deb", "-x", deb.name, "unpacked"], cwd=folder, check=True)


def load(photograph: Photograph, folder: Path) -> NDArray[np.float64]:
    """Light in [0, 1] of a fetched photograph, reduced; shape (rows, columns).

    Raises
    ------
    ValueError
        The package holds another copy than the one that was calibrated on.
    """
    path = folder / "unpacked" / _PLACES[photograph.package] / photograph.name
    if not hashlib.sha256(path.read_bytes()).hexdigest().startswith(photograph.digest):
        raise ValueError(f"{path} is not the picture that was calibrated on")
    grey = np.asarray(Image.open(path).convert("L"))
    return reduced(light(grey), photograph.times)
