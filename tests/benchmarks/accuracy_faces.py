"""How well faces are found, and front and back focus told from their zones.

Run `python -m tests.benchmarks.accuracy_faces`, a minute and a half. There is one face, the
portrait of scikit-image: the tables tell of sizes, blurs and light, not of people.
"""

from __future__ import annotations

import itertools
import math
import time
from collections import Counter
from collections.abc import Callable, Iterator

import cv2
import numpy as np

from mocks import blur
from mocks.light import Field, to_bytes, to_linear
from tests.portraits import (
    PUPILS,
    U8,
    astronaut,
    exposed,
    fine_portrait,
    focused_at,
    on_canvas,
    with_blurred,
)
from tests.sharpness import pictures as known
from tests.sharpness.photographs import SAMPLES, photograph
from tether.frame.face_zones import Zone, zones
from tether.frame.faces_search import find
from tether.frame.picture import Picture
from tether.frame.tags import Tags
from tether.model import Cause, Part, Rect
from tether.sharpness.measure import MARGIN, measure
from tether.verdict.plane import surely_narrower
from tether.zones import look_at_face

FRAME = (4000, 6000)
EYES = math.dist(*PUPILS) / 512
"""Distance of the eyes as a share of the portrait's side."""

EACH = 6
LIMIT = 3.5
SIDE = 130
PHOTOGRAPHS = ("camera", "coffee", "chelsea", "brick", "page", "rocket", "coins")

WANTED = {
    "front: the nose tip": Cause.FRONT_FOCUS,
    "back: ears or hair": Cause.BACK_FOCUS,
    "back: the wall": Cause.BACK_FOCUS,
    "back: the far eye": Cause.BACK_FOCUS,
    "alike all over": None,
    "shaken": None,
}
TRIALS = (12, 12, 8, 8, 10, 4)
"""Of each portrait, for the kinds of focus above."""


def found() -> None:
    """Print how many faces are found in 24 MP and how far their eyes are off."""
    print(f"faces in 24 MP, {EACH} of each: places, exposures and noises differ")
    print(f"{'eyes px':>8}{'blur px':>9}{'found':>8}{'others':>8}{'eyes off':>10}{'worst':>7}")
    rng = np.random.default_rng(7)
    for eyes, soft in itertools.product((60, 80, 110, 160, 320), (0, 12, 40)):
        picture = astronaut(round(eyes / EYES))
        if soft:
            picture = cv2.filter2D(picture, -1, np.asarray(blur.disk(float(soft))))
        scale = len(picture) / 512
        off, others = [], 0
        for _ in range(EACH):
            x, y = (int(rng.integers(0, side - len(picture) + 1)) for side in FRAME[::-1])
            right, left = ((x + px * scale, y + py * scale) for px, py in PUPILS)
            errors = [
                max(math.dist(face.right_eye, right), math.dist(face.left_eye, left)) / eyes
                for face in find(in_a_frame(picture, x, y, rng), 1)
            ]
            near = [error for error in errors if error < 0.4]
            off += near[:1]
            others += len(errors) - len(near)
        told = f"{np.median(off):>10.0%}{np.max(off):>7.0%}" if off else ""
        print(f"{eyes:>8}{soft:>9}{len(off) / EACH:>8.0%}{others:>8}{told}")


def in_a_frame(picture: U8, x: int, y: int, rng: np.random.Generator) -> U8:
    """The picture in 24 MP of grey, darkened by up to four stops, with noise."""
    gain = np.float32(np.exp(rng.uniform(np.log(1 / 16), 0)))
    frame = np.full(FRAME, 150, np.uint8)
    frame[y : y + picture.shape[0], x : x + picture.shape[1]] = picture
    frame = to_bytes(to_linear(np.arange(256) / 255) * gain)[frame]
    # A sum that left the range would begin anew at its other end.
    np.clip(frame, 4, 251, out=frame)
    frame += rng.integers(0, 9, FRAME, np.uint8)
    frame -= 4
    return frame


def speed() -> None:
    """Print the times of finding and of looking at a face."""
    frame = on_canvas(FRAME, 3600, 1200, 200)
    sixteen = frame.astype(np.uint16) * 257
    (face,) = find(frame, 1)
    lying = np.ascontiguousarray(np.rot90(frame))
    busy = np.tile(astronaut(1000), (4, 6))
    steps: dict[str, Callable[[], object]] = {
        "find a face in 24 MP": lambda: find(frame, 1),
        "  stored on its side": lambda: find(lying, 6),
        "  that does not say so": lambda: find(lying, 1),
        "  of 16 bits": lambda: find(sixteen, 1),
        "find 24 faces in 24 MP": lambda: find(busy, 1),
        "look at a face's zones": lambda: look_at_face(Picture(frame, Tags()), face.box, LIMIT),
    }
    print(f"\n{'ms of one core':28}{'median':>8}{'worst':>8}")
    for name, step in steps.items():
        step()
        took = []
        for _ in range(9):
            # The processor's own time: others may be at work on this machine.
            begun = time.process_time()
            step()
            took.append(1000 * (time.process_time() - begun))
        print(f"{name:28}{np.median(took):>8.0f}{np.max(took):>8.0f}")


def planes() -> None:
    """Print what is told of portraits focused before, on and behind the eye."""
    counts = {kind: Counter[str]() for kind in WANTED}
    for kind, named, soft, noise in scenes():
        eye = next(zone.rect for zone in named if zone.part in {Part.NEAR_EYE, Part.RIGHT_EYE})
        seen = look_at_face(Picture(exposed(soft, noise), Tags()), eye, LIMIT)
        if seen is None or seen.plane is None:
            counts[kind]["open"] += 1
        else:
            counts[kind]["right" if seen.plane.cause is WANTED[kind] else "wrong"] += 1
    print(f"\n{'focus':22}{'n':>5}{'right':>8}{'open':>8}{'wrong':>8}")
    for kind, count in counts.items():
        shares = (count[word] / count.total() for word in ("right", "open", "wrong"))
        print(f"{kind:22}{count.total():>5}" + "".join(f"{share:>8.0%}" for share in shares))


def scenes() -> Iterator[tuple[str, tuple[Zone, ...], Field, float]]:
    """Kind of focus, zones of the face, light as focused, and noise of each trial."""
    rng = np.random.default_rng(8)
    for far_half, detail in itertools.product((1.0, 0.5), (0.5, 1.0)):
        light = fine_portrait(detail=detail, far_half=far_half)
        named = zones(find(exposed(light), 1)[0]) or ()
        for kind, times in zip(WANTED, TRIALS, strict=True):
            if kind == "back: the far eye" and far_half == 1.0:
                continue
            for _ in range(times):
                soft = focused(light, named, kind, rng)
                yield kind, named, soft, float(rng.choice([0.003, 0.01, 0.02]))


def focused(light: Field, named: tuple[Zone, ...], kind: str, rng: np.random.Generator) -> Field:
    """The portrait with its focus where the kind says; depths are eye distances."""
    px = float(rng.uniform(12, 45))
    eye = max(z.depth for z in named if z.part in {Part.NEAR_EYE, Part.RIGHT_EYE})
    if kind == "alike all over":
        diameter = float(rng.uniform(3, 14))
        return with_blurred(light, {zone.rect: diameter for zone in named})
    if kind == "shaken":
        return blur.apply(light, blur.shake(px / 3, float(rng.uniform(0, 180))))
    if kind == "front: the nose tip":
        return focused_at(light, named, rng.uniform(0.3, 0.5), px)
    if kind == "back: the far eye":
        return focused_at(light, named, -eye, px)
    if kind == "back: ears or hair":
        return focused_at(light, named, rng.uniform(-1.3, -0.5), px)
    return focused_at(light, named, rng.uniform(-4, -2), 0.4 * px)


def alike() -> None:
    """Print how often one of two areas of like blur is called surely narrower."""
    rng = np.random.default_rng(9)
    pairs = narrower = 0
    side = SIDE + 2 * MARGIN
    for name, number in itertools.product(PHOTOGRAPHS + SAMPLES, range(4)):
        light = photograph(name)
        high, wide = light.shape
        if min(high, wide) < side:
            continue
        if number:
            kernel = known.disk(rng.uniform(3, 14))
        else:
            kernel = known.path(rng.uniform(5, 16), rng.uniform(0, 180))
        picture = known.expose(
            known.blur(light, known.join(kernel, known.gauss(0.5))),
            rng,
            gain=float(np.exp(rng.uniform(np.log(0.3), 0))),
            noise=float(rng.choice([0.003, 0.01, 0.02])),
            quality=int(rng.integers(88, 98)),
        )
        told = []
        for _ in range(7):
            y, x = int(rng.integers(0, high - side + 1)), int(rng.integers(0, wide - side + 1))
            cut = picture[y : y + side, x : x + side]
            width = measure(cut, Rect(MARGIN, MARGIN, SIDE, SIDE)).narrowest
            if width is not None:
                told.append(width)
        sure = [surely_narrower(*two) for two in itertools.permutations(told, 2)]
        pairs, narrower = pairs + len(sure), narrower + sum(sure)
    print(
        f"\nof {pairs} pairs of areas of photographs, blurred alike, one is called surely narrower "
        f"than the other in {narrower / pairs:.1%}"
    )


def main() -> None:
    """Print the tables."""
    begun = time.perf_counter()
    found()
    speed()
    planes()
    alike()
    print(f"\n{time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
