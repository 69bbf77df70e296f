"""How well the nearest eye is found in frames of 24 megapixels, and in what time.

`python -m tests.benchmarks.accuracy_eyes` prints tables, in some three minutes. There are two
faces, turned, sized, mirrored, darkened and blurred: the tables tell of these, not of people; heads
are turned aside by a model of their depth, and nobody is seen from the side.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import cv2
import numpy as np
from skimage import data
from sklearn.datasets import load_sample_image

from mocks.scenes import bowl, compose
from mocks.sensor import expose
from tests.portraits import U8
from tests.sharpness.photographs import SAMPLES
from tests.sitters import Points, Sitter, backdrop, darkened, grained, put, sitters
from tether.frame import nearest_eye
from tether.frame.answer import Answer
from tether.frame.faces_search import find
from tether.frame.picture import Picture
from tether.frame.tags import Tags
from tether.model import Part, Rect

FRAME = (4000, 6000)
EACH = 20
CLOSE = 0.15
"""Of the eyes' distance: how far off the square about an eye may lie."""

BACKDROPS = ("brick", "coffee", "rocket", "gravel")
NOBODY = (
    *("brick", "cell", "chelsea", "clock", "coffee", "coins", "grass", "gravel"),
    *("hubble_deep_field", "immunohistochemistry", "moon", "page", "retina", "rocket", "text"),
)
SMALL, LARGE = 60.0, 500.0
"""Eye distances, px; a face is 2.6 times as high: 46 is one of 120 px."""


@dataclass
class Trial:
    """What is done to a portrait and its frame, and what the camera says."""

    eyes_px: float
    roll: float = 0.0
    change: Callable[[Sitter], Sitter] = lambda sitter: sitter
    """What is done to the portrait as it is carried, before it is sized and turned."""
    blur_px: float = 0.0
    treat: Callable[[U8], U8] = lambda frame: frame
    others: int = 0
    point: bool = False
    right: bool | None = None
    """Whether the right eye is the nearest; None where the camera's point chooses, or nothing."""


@dataclass
class Row:
    """Sums of one kind of trial."""

    found: list[bool] = field(default_factory=list)
    off: list[float] = field(default_factory=list)
    chosen: list[bool] = field(default_factory=list)
    ms: list[float] = field(default_factory=list)

    def add(self, answer: Answer, eyes: Points, wanted: bool | None, ms: float) -> None:
        """Count one trial; `wanted` is whether the right eye is the one."""
        told = {eye.part: middle(eye.rect) for eye in answer.eyes}
        unit = math.dist(*eyes)
        errors = {
            part: math.dist(at, eyes[0 if part is Part.RIGHT_EYE else 1]) / unit
            for part, at in told.items()
        }
        self.ms.append(ms)
        self.found.append(bool(errors) and min(errors.values()) < 0.5)
        if self.found[-1]:
            self.off.append(max(errors.values()))
            if wanted is not None:
                self.chosen.append((answer.eyes[0].part is Part.RIGHT_EYE) == wanted)

    def line(self, name: str) -> str:
        """The row of the table."""
        off = np.array(self.off or [np.nan])
        chosen = f"{np.mean(self.chosen):8.0%}" if self.chosen else f"{'':8}"
        return (
            f"{name:34}{len(self.found):4}{np.mean(self.found):8.0%}{np.mean(off < CLOSE):9.0%}"
            f"{np.median(off):8.1%}{np.quantile(off, 0.95):8.1%}{chosen}"
            f"{np.median(self.ms):7.0f}{np.max(self.ms):7.0f}"
        )


def middle(rect: Rect) -> tuple[float, float]:
    """Its middle, px."""
    return rect.x + rect.width / 2, rect.y + rect.height / 2


def run(trial: Trial, number: int, rng: np.random.Generator, row: Row) -> None:
    """Make the frame of a trial, ask for the nearest eye, and count what is said."""
    frame = backdrop(BACKDROPS[number % len(BACKDROPS)], FRAME).copy()
    sitter = sitters()[number % 2]
    portrait = trial.change(sitter).sized(trial.eyes_px, trial.roll)
    if trial.blur_px:
        portrait = portrait.blurred(trial.blur_px)
    left, top = somewhere(portrait, rng)
    for _ in range(trial.others):
        other = sitters()[int(rng.integers(2))].sized(trial.eyes_px * rng.uniform(0.5, 1.5))
        put(frame, other, *somewhere(other, rng))
    eyes = put(frame, portrait, left, top)
    right = trial.right
    point = None
    if trial.point:
        pointed = int(rng.integers(2))
        at = eyes[pointed] + rng.normal(0, 0.15 * trial.eyes_px, 2)
        point = Rect(round(at[0]) - 50, round(at[1]) - 50, 100, 100)
        # What the point says is nearer, however it was scattered.
        right = bool(math.dist(at, eyes[0]) < math.dist(at, eyes[1])) if right is None else right
    picture = Picture(grained(trial.treat(frame), 0.008, rng), Tags())
    begun = time.process_time()
    answer = nearest_eye.ask(picture, point)
    row.add(answer, eyes, right, 1000 * (time.process_time() - begun))


def somewhere(portrait: Sitter, rng: np.random.Generator) -> tuple[int, int]:
    """A place in the frame at which the whole face is in it."""
    x, y = portrait.eyes.mean(axis=0)
    reach = 2.0 * portrait.eye_distance
    return (
        round(rng.uniform(reach, FRAME[1] - reach) - x),
        round(rng.uniform(reach, FRAME[0] - reach) - y),
    )


def trials(rng: np.random.Generator) -> dict[str, Callable[[], Trial]]:
    """Every kind of trial by its name."""

    def some() -> float:
        return float(np.exp(rng.uniform(np.log(SMALL), np.log(LARGE))))

    def turned(deg: float) -> Callable[[], Trial]:
        return lambda: Trial(some(), float(deg + rng.uniform(-3, 3)))

    def aside(deg: float) -> Callable[[], Trial]:
        return lambda: Trial(some(), change=lambda s: s.yawed(deg), right=deg > 0)

    def dark(stops: int) -> Callable[[], Trial]:
        return lambda: Trial(some(), treat=lambda frame: darkened(frame, stops))

    def soft(px: float) -> Callable[[], Trial]:
        return lambda: Trial(some(), blur_px=px)

    def noisy(noise: float) -> Callable[[], Trial]:
        return lambda: Trial(some(), treat=lambda frame: grained(frame, noise, rng))

    def sized(px: float, *, point: bool) -> Callable[[], Trial]:
        return lambda: Trial(px, float(rng.uniform(-15, 15)), point=point)

    def covered(tone: int, *, lash: bool) -> Callable[[], Trial]:
        def made() -> Trial:
            eye = int(rng.integers(2))
            return Trial(some(), change=lambda s: s.covered(eye, tone, lash), right=eye == 1)

        return made

    return {
        **{f"eyes {px} px apart": sized(px, point=False) for px in (46, 60, 80, 120, 240, 800)},
        **{f"eyes {px} px, camera's point": sized(px, point=True) for px in (25, 32, 46, 120)},
        **{f"turned by {deg}°": turned(deg) for deg in (0, 15, -15, 30, -30, 45, 90, 180, 270)},
        "mirrored": lambda: Trial(some(), change=lambda s: s.mirrored()),
        **{f"aside by {deg}°": aside(deg) for deg in (-25, -15, -8, 8, 15, 25)},
        **{f"{stops} stops darker": dark(stops) for stops in (1, 2, 3, 5)},
        **{f"blurred, edges {px} px": soft(px) for px in (2, 4, 8, 12, 24)},
        **{f"noise {noise:.0%}": noisy(noise) for noise in (0.02, 0.05)},
        "glasses drawn": lambda: Trial(some(), change=lambda s: s.with_glasses()),
        "3 more people, camera's point": lambda: Trial(
            float(rng.uniform(60, 250)), others=3, point=True
        ),
        "an eye covered, as skin": covered(190, lash=False),
        "an eye covered, black": covered(15, lash=False),
        "an eye closed, with lashes": covered(190, lash=True),
    }


def accuracy() -> None:
    """Print what is found of every kind of trial."""
    print(f"24 megapixels, {EACH} of each; eyes {SMALL:.0f} to {LARGE:.0f} px apart if not said")
    print(
        f"{'':34}{'n':>4}{'found':>8}{f'in {CLOSE:.0%}':>9}{'off':>8}{'95 %':>8}{'chosen':>8}"
        f"{'ms':>7}{'most':>7}"
    )
    rng = np.random.default_rng(11)
    every = Row()
    for name, made in trials(rng).items():
        row = Row()
        for number in range(EACH):
            run(made(), number, rng, row)
        print(row.line(name), flush=True)
        for sums, more in zip(vars(every).values(), vars(row).values(), strict=True):
            sums.extend(more)
    print(every.line("all"))


def in_the_wild() -> None:
    """Print how many of a hundred other people's faces are found, 25 px a side and enlarged.

    Labeled Faces in the Wild, as scikit-image carries it; where their eyes are nobody has marked.
    """
    found = 0
    for face in data.lfw_subset()[:100]:
        large = cv2.resize(np.pad(face, 6, mode="edge"), (300, 300), interpolation=cv2.INTER_CUBIC)
        found += bool(find(np.asarray(np.clip(255 * large, 0, 255), np.uint8), 1))
    print(f"\nof a hundred small faces as people have them, {found} are found")


def nobody() -> None:
    """Print what is taken for a face where there is none, and what looking for one costs."""
    pictures = {name: np.asarray(getattr(data, name)()) for name in NOBODY}
    pictures |= {name: np.asarray(load_sample_image(name)) for name in SAMPLES}
    pictures["the bowl, rendered"] = expose(compose(bowl(), 0.0), 100, np.random.default_rng(1))
    false, took = [], []
    for name, picture in pictures.items():
        grey = np.ascontiguousarray(picture if picture.ndim == 2 else picture[..., 1])
        eight = grey if grey.dtype == np.uint8 else (255 * (grey > 0)).astype(np.uint8)
        for orientation in (1, 6):
            begun = time.process_time()
            if find(eight, orientation):
                false.append(name)
            took.append(1000 * (time.process_time() - begun))
    print(
        f"\n{len(pictures)} pictures without people, upright and lying: {len(false)} false faces "
        f"{', '.join(false)}; looking took {np.median(took):.0f} ms, at most {np.max(took):.0f}"
    )
    frame = np.tile(backdrop("grass", (2000, 3000)), (2, 2))
    times = []
    for at in [None, (3000.0, 2000.0)] * 4:
        begun = time.process_time()
        find(frame, 1, at)
        times.append(1000 * (time.process_time() - begun))
    print(f"24 megapixels of grass: at most {np.max(times):.0f} ms")


def main() -> None:
    """Print the tables."""
    begun = time.perf_counter()
    accuracy()
    in_the_wild()
    nobody()
    print(f"\n{time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
