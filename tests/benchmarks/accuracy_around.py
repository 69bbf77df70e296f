"""How well the rest of a frame tells why its focus area is soft, and how fast.

Run `python -m tests.benchmarks.accuracy_around`; it takes some two minutes. The frames are the
rendered sets of `mocks`, and mosaics of the photographs of scikit-image and scikit-learn.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import simplejpeg
from scipy import ndimage

from mocks.large import large_frame
from mocks.scenes import bowl, maker
from mocks.shoot import SHOOT, Shot, render, stored_area
from tests.benchmarks.timing import in_turn, report
from tests.sharpness.photographs import SAMPLES, photograph
from tests.sharpness.pictures import U8, F, blur, disk, expose, gauss, path
from tether.model import Cause, Rect, Verdict
from tether.sharpness.around import look_around
from tether.sharpness.cut import with_margin
from tether.sharpness.frame_map import frame_map
from tether.sharpness.measure import measure
from tether.verdict.decide import decide

LIMIT_PX = 4.0
EACH = 12
ROUNDS = 9

PHOTOGRAPHS = ("camera", "astronaut", "coffee", "chelsea", "brick", "page", "rocket", "coins")
PIECE = 200
ACROSS, DOWN = 8, 6


@dataclass(frozen=True, slots=True)
class Frame:
    """A frame whose focus area is soft, and why."""

    kind: str
    cause: Cause
    luma: U8
    area: Rect


def pieces() -> list[F]:
    """Squares of photographs that hold contrast."""
    out = []
    for name in PHOTOGRAPHS + SAMPLES:
        picture = photograph(name)
        for y in range(0, picture.shape[0] - PIECE + 1, PIECE // 2):
            for x in range(0, picture.shape[1] - PIECE + 1, PIECE // 2):
                part = picture[y : y + PIECE, x : x + PIECE]
                if np.percentile(np.abs(np.diff(part, axis=1)), 98) > 0.05:
                    out.append(part)
    return out


def mosaic(some: list[F], rng: np.random.Generator) -> F:
    """A frame's light, every piece of it another photograph's, as a lens would image it."""
    turned = [np.rot90(one, int(rng.integers(4))) for one in some]
    rows = [
        np.hstack([turned[rng.integers(len(some))] for _ in range(ACROSS)]) for _ in range(DOWN)
    ]
    return blur(np.vstack(rows), gauss(0.5))


SUBJECT = Rect(3 * PIECE, 2 * PIECE, 2 * PIECE, 2 * PIECE)


def put(picture: F, part: F, where: Rect) -> F:
    """Lay a rectangle of one picture over another, its border softened over a few px."""
    mask = np.zeros(picture.shape)
    mask[where.y : where.y + where.height, where.x : where.x + where.width] = 1
    mask = ndimage.gaussian_filter(mask, 2)
    return np.asarray(picture * (1 - mask) + part * mask)


def movement(rng: np.random.Generator) -> F:
    """Kernel of a hand's or a subject's movement."""
    return path(rng.uniform(9.0, 18.0), rng.uniform(0, 180), rng.uniform(-0.2, 0.2))


def shaken(picture: F, rng: np.random.Generator) -> F:
    """Everything moved."""
    return blur(picture, movement(rng))


def shaken_before_blur(picture: F, rng: np.random.Generator) -> F:
    """Everything moved, and all but subject and what stands beside it is out of focus."""
    near = Rect(SUBJECT.x - PIECE, SUBJECT.y, SUBJECT.width + 2 * PIECE, SUBJECT.height + PIECE)
    return shaken(put(blur(picture, disk(rng.uniform(10, 18))), picture, near), rng)


def moved(picture: F, rng: np.random.Generator) -> F:
    """The subject moved."""
    return put(picture, blur(picture, movement(rng)), SUBJECT)


def moved_before_blur(picture: F, rng: np.random.Generator) -> F:
    """The subject moved, and what is behind it is out of focus."""
    behind = blur(picture, disk(rng.uniform(10, 18)))
    return put(behind, blur(picture, movement(rng)), SUBJECT)


def elsewhere(picture: F, rng: np.random.Generator) -> F:
    """Two columns of pieces are in focus, subject and all else are not."""
    sharp = Rect(PIECE * int(rng.choice([0, 6])), 0, 2 * PIECE, DOWN * PIECE)
    soft = put(
        blur(picture, disk(rng.uniform(5, 14))), blur(picture, disk(rng.uniform(8, 14))), SUBJECT
    )
    return put(soft, picture, sharp)


def unfocused(picture: F, rng: np.random.Generator) -> F:
    """Everything is out of focus."""
    return blur(picture, disk(rng.uniform(8, 14)))


MADE: dict[str, tuple[Cause, Callable[[F, np.random.Generator], F]]] = {
    "camera shake": (Cause.CAMERA_SHAKE, shaken),
    "camera shake, background out of focus": (Cause.CAMERA_SHAKE, shaken_before_blur),
    "subject moved, background sharp": (Cause.SUBJECT_MOTION, moved),
    "subject moved, background out of focus": (Cause.SUBJECT_MOTION, moved_before_blur),
    "focus elsewhere": (Cause.FOCUS_ELSEWHERE, elsewhere),
    "out of focus all over": (Cause.DEFOCUS, unfocused),
}


def mosaics() -> Iterator[Frame]:
    """Frames of photographs."""
    rng, some = np.random.default_rng(3), pieces()
    area = Rect(SUBJECT.x + 60, SUBJECT.y + 60, SUBJECT.width - 120, SUBJECT.height - 120)
    for kind, (cause, made) in MADE.items():
        for _ in range(EACH):
            light = made(mosaic(some, rng), rng)
            noise = float(rng.choice([0.003, 0.01]))
            yield Frame(kind, cause, expose(light, rng, noise=noise, grain=True), area)


def rendered() -> Iterator[Frame]:
    """Frames of the sets; at both the background is out of focus, at the maker's much more so."""
    by_name = {shot.name: shot for shot in SHOOT}
    still = {"bowl": by_name["bowl-0001.jpg"], "maker": by_name["maker-0001.jpg"]}
    rng = np.random.default_rng(4)

    def moves() -> tuple[float, float]:
        return float(rng.uniform(10, 20)), float(rng.uniform(0, 180))

    for setup, shot in still.items():
        behind = ", background out of focus" if setup == "maker" else ""
        for n in range(EACH // 3):
            yield taken(f"camera shake{behind}", replace(shot, shake=moves()), n)
            if setup == "bowl":
                yield taken(
                    "subject moved, background out of focus", replace(shot, moved=moves()), n
                )
            focus = float(rng.uniform(-12, -9) if setup == "maker" or n % 2 else rng.uniform(9, 14))
            yield taken("focus elsewhere", replace(shot, focus=focus), n)


def taken(kind: str, shot: Shot, number: int) -> Frame:
    """Render a shot."""
    luma = simplejpeg.decode_jpeg(render(replace(shot, number=100 + number)), "GRAY")[..., 0]
    scene = bowl() if shot.setup == "bowl" else maker(shot.turned)
    return Frame(kind, MADE[kind][0], np.ascontiguousarray(luma), stored_area(shot, scene))


def told(frame: Frame) -> str:
    """What is told of a frame: rightly, open, wrongly with the cause, or that it is not soft."""
    area = measure(*with_margin(frame.luma, frame.area))
    around = look_around(frame.luma, frame.area, area)
    verdict, cause = decide(area, LIMIT_PX, around)
    if verdict is not Verdict.SOFT:
        return "not soft"
    if cause is frame.cause:
        return "rightly"
    # An area out of focus is that wherever the focus may be: short of the truth, not against it.
    short = cause is Cause.DEFOCUS and frame.cause is Cause.FOCUS_ELSEWHERE
    return "open" if cause is None or short else f"wrongly: {cause}"


def table(name: str, frames: Iterator[Frame]) -> None:
    """Print the shares."""
    seen: dict[str, Counter[str]] = {kind: Counter() for kind in MADE}
    for frame in frames:
        seen[frame.kind][told(frame)] += 1
    print(f"{name:42}{'n':>4}{'not soft':>10}{'rightly':>9}{'open':>7}  wrongly")
    for kind, counts in seen.items():
        soft = counts.total() - counts["not soft"]
        if not counts.total():
            continue
        share = [f"{counts[key] / soft:.0%}" if soft else "-" for key in ("rightly", "open")]
        wrong = [f"{n} {key[9:]}" for key, n in counts.items() if key.startswith("wrongly")]
        print(f"{kind:42}{counts.total():>4}{counts['not soft']:>10}{share[0]:>9}{share[1]:>7}"
              f"  {', '.join(wrong) or '-'}")  # fmt: skip
    print()


def speed() -> None:
    """Print what the look at the rest of a frame takes, on one core."""
    luma = np.ascontiguousarray(simplejpeg.decode_jpeg(large_frame(24), "GRAY")[..., 0])
    area = Rect(2800, 1800, 400, 400)
    measured = measure(*with_margin(luma, area))
    steps: dict[str, Callable[[], object]] = {
        "the map": lambda: frame_map(luma),
        "the map and the places measured": lambda: look_around(luma, area, measured),
    }
    taken = in_turn(steps, ROUNDS)
    print("24 megapixels, median")
    for (name, seconds), most in zip(taken.items(), (100, 300), strict=True):
        report(name, 1000 * float(np.median(seconds)), most, "ms")


def main() -> None:
    """Print the tables."""
    start = time.perf_counter()
    print("shares of the soft frames\n")
    table("mosaics of photographs, 1.9 MP", mosaics())
    table("rendered sets, 2.2 MP", rendered())
    speed()
    print(f"\n{time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
