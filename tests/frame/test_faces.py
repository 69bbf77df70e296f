"""Faces are found, with their eyes, the way the frame is meant to be seen; nothing else is."""

from __future__ import annotations

import math
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage
from skimage import data
from skimage.transform import resize

from mocks.light import to_bytes, to_linear
from tests.portraits import PUPILS, astronaut, on_canvas
from tether.frame.faces import Face
from tether.frame.faces_search import find
from tether.frame.orientation import stored, upright

CLOSE = 0.12
"""Of the eyes' distance: how far off an eye may be told."""

# An orientation's inverse: what stores a picture so that `upright` shows it again.
INVERSE = {1: 1, 2: 2, 3: 3, 4: 4, 5: 5, 6: 8, 7: 7, 8: 6}


def off(face: Face, right: tuple[float, float], left: tuple[float, float]) -> float:
    """How far the worse eye is off, in shares of the eyes' distance."""
    worse = max(math.dist(face.right_eye, right), math.dist(face.left_eye, left))
    return worse / math.dist(right, left)


def pupils(scale: float = 1.0, x: float = 0, y: float = 0) -> list[tuple[float, float]]:
    return [(x + scale * px, y + scale * py) for px, py in PUPILS]


@pytest.mark.parametrize("size", [256, 512, 1100, 2400])
def test_eyes_are_where_a_hand_marked_them(size: int) -> None:
    (face,) = find(astronaut(size), 1)
    assert off(face, *pupils(size / 512)) < CLOSE


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_frame_stored_lying_or_mirrored_gives_points_where_they_are_stored(
    orientation: int,
) -> None:
    shown = on_canvas((700, 1000), 600, 300, 60)
    lying = upright(shown, INVERSE[orientation])
    (face,) = find(lying, orientation)
    marked = stored(
        np.array(pupils(600 / 512, 300, 60)), orientation, lying.shape[1], lying.shape[0]
    )
    right, left = ((float(x), float(y)) for x, y in marked)
    assert off(face, right, left) < CLOSE
    box = face.box
    for x, y in (face.right_eye, face.left_eye, face.nose, face.mouth_right, face.mouth_left):
        assert box.x < x < box.x + box.width
        assert box.y < y < box.y + box.height


@pytest.mark.parametrize("deg", [90, 180, 270])
def test_a_face_on_its_side_or_its_head_is_found_so(deg: int) -> None:
    # As stored by a camera that was held so and does not say it, or of a sitter who lies.
    size = 700
    (face,) = find(np.ascontiguousarray(np.rot90(astronaut(size), deg // 90)), 1)
    turn = {90: lambda x, y: (y, size - x), 180: lambda x, y: (size - x, size - y)}
    turn[270] = lambda x, y: (size - y, x)
    assert off(face, *(turn[deg](x, y) for x, y in pupils(size / 512))) < CLOSE


@pytest.mark.parametrize("exposure", [0.5, 0.1, 0.02])
def test_a_dark_face_is_found(exposure: float) -> None:
    dark = to_bytes(to_linear(astronaut(1000) / 255) * np.float32(exposure))
    (face,) = find(dark, 1)
    assert off(face, *pupils(1000 / 512)) < CLOSE


def test_a_face_blurred_by_12_px_is_found() -> None:
    soft = np.asarray(ndimage.uniform_filter(astronaut(2000), 12), np.uint8)
    (face,) = find(soft, 1)
    assert off(face, *pupils(2000 / 512)) < CLOSE


def test_sixteen_bits_give_the_face_of_eight() -> None:
    eight = astronaut(800)
    (wanted,) = find(eight, 1)
    (face,) = find(eight.astype(np.uint16) * 257, 1)
    assert off(face, wanted.right_eye, wanted.left_eye) < 0.03


def test_of_a_group_the_largest_face_is_found_and_any_other_that_the_point_lies_on() -> None:
    group = np.tile(astronaut(), (3, 4))
    group[:900, :900] = astronaut(900)
    assert off(find(group, 1)[0], *pupils(900 / 512)) < CLOSE
    whole = [(x, y) for y in range(3) for x in range(4) if x * 512 >= 900 or y * 512 >= 900]
    for x, y in whole:
        right, left = wanted = pupils(1, x * 512, y * 512)
        found = find(group, 1, ((right[0] + left[0]) / 2, (right[1] + left[1]) / 2))
        assert min(off(face, *wanted) for face in found) < CLOSE


def test_a_small_face_in_a_large_frame_is_found() -> None:
    (face,) = find(on_canvas((4000, 6000), 1200, 3000, 900), 1)
    assert off(face, *pupils(1200 / 512, 3000, 900)) < 2 * CLOSE


def test_a_small_figure_on_plain_ground_is_found() -> None:
    # Nearly all pixels are of one tone, which is not the one to spread the others about.
    (face,) = find(on_canvas((4000, 6000), 560, 2700, 1700), 1)
    assert off(face, *pupils(560 / 512, 2700, 1700)) < CLOSE


def test_faces_as_people_have_them_are_found() -> None:
    # Labeled Faces in the Wild, the first hundred of which are faces, 25 x 25 px: enlarged.
    few = [np.pad(face, 6, mode="edge") for face in data.lfw_subset()[:100:5]]
    large = [
        np.asarray(255 * resize(face, (200, 200), order=3, clip=True), np.uint8) for face in few
    ]
    assert sum(len(find(face, 1)) > 0 for face in large) >= 16


@pytest.mark.parametrize(
    "name", ["chelsea", "coffee", "brick", "grass", "gravel", "coins", "rocket", "page", "moon"]
)
def test_what_is_no_face_is_not_found(name: str) -> None:
    picture = np.asarray(getattr(data, name)())
    grey = picture if picture.ndim == 2 else picture[..., 1]
    assert find(np.ascontiguousarray(grey), 1) == ()


@pytest.mark.parametrize(
    "picture",
    [
        np.zeros((0, 0), np.uint8),
        np.zeros((1, 1), np.uint8),
        np.full((3, 5000), 255, np.uint8),
        np.zeros((5000, 3), np.uint16),
        np.zeros((900, 1400), np.uint8),
        np.full((900, 1400), 65535, np.uint16),
        np.random.default_rng(1).integers(0, 256, (900, 1400), np.uint8),
        np.random.default_rng(1).integers(0, 65536, (640, 640), np.uint16),
        astronaut()[60:100, 180:270],
    ],
    ids=lambda picture: f"{picture.shape}-{picture.dtype}",
)
def test_any_picture_at_all_is_looked_through(
    picture: NDArray[np.uint8] | NDArray[np.uint16],
) -> None:
    for orientation in (1, 6):
        assert find(picture, orientation) == ()


def test_threads_side_by_side_find_what_one_finds_alone() -> None:
    frames = [astronaut(400 + 60 * n) for n in range(6)]
    alone = [find(frame, 1) for frame in frames]
    with ThreadPoolExecutor(4) as threads:
        assert list(threads.map(lambda frame: find(frame, 1), frames * 3)) == alone * 3


def test_opencv_is_not_loaded_until_a_face_is_looked_for() -> None:
    told = "import sys, tether.frame.faces; print('cv2' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
