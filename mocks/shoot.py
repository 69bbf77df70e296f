"""The shoot: a morning at a pottery, as a list of frames with the fault that each was given.

``python -m mocks.shoot FOLDER`` writes them all.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from zlib import crc32

import numpy as np

from mocks import blur, sensor
from mocks.scenes import Scene, bowl, compose, maker
from mocks.slate import Slate, in_scene
from mocks.tags import Tags, tagged
from tether.model import Cause, Exposure, Rect, Verdict

_BODY = "Studio One"
# Recorded small: 36 mm of sensor in 1800 px.
_PITCH_UM = 20.0
_BEGINS = datetime(2026, 5, 14, 10, 2, 11)
_BETWEEN = timedelta(seconds=7)
_TURNED = 6


def _product(shutter: float, f_number: float, iso: int = 100) -> Exposure:
    return Exposure(1 / shutter, f_number, 85.0, iso, "Studio 85mm f/1.8", _BODY, _PITCH_UM)


def _portrait(shutter: float, f_number: float, iso: int = 400) -> Exposure:
    return Exposure(1 / shutter, f_number, 35.0, iso, "Studio 35mm f/1.8", _BODY, _PITCH_UM)


@dataclass(frozen=True, slots=True)
class Truth:
    """What was done to the area that the camera was pointed at, and what may be said of it.

    `defocus_px` is the diameter of the blur disk; `motion_px` and `motion_deg` are the straight
    movement of camera or subject, degrees counter-clockwise from +x in the stored image.
    """

    verdict: Verdict
    causes: frozenset[Cause] = frozenset()
    defocus_px: float = 0.0
    motion_px: float = 0.0
    motion_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Shot:
    """One frame of the shoot.

    `focus` is the depth in focus (see `mocks.scenes.layers`); `shake` moves the whole picture and
    `moved` the subject alone, each (px, degrees counter-clockwise from +x, displayed upright).
    """

    setup: str
    number: int
    told: str
    exposure: Exposure
    area: str
    verdict: Verdict = Verdict.SHARP
    causes: tuple[Cause, ...] = ()
    focus: float = 0.0
    shake: tuple[float, float] = (0.0, 0.0)
    moved: tuple[float, float] = (0.0, 0.0)
    light: float = 1.0
    turned: bool = False

    @property
    def name(self) -> str:
        """The file's name."""
        return f"{self.setup}-{self.number:04d}.jpg"

    @property
    def truth(self) -> Truth:
        """What a judge should find."""
        px, angle = max(self.shake, self.moved)
        # Stored a quarter turn counter-clockwise from how it is displayed.
        angle = (angle + 90) % 180 if self.turned and px else angle
        return Truth(self.verdict, frozenset(self.causes), abs(self.focus), px, angle)


_SOFT = Verdict.SOFT
_NEAR = (Cause.FRONT_FOCUS, Cause.DEFOCUS, Cause.FOCUS_ELSEWHERE)
_FAR = (Cause.BACK_FOCUS, Cause.DEFOCUS, Cause.FOCUS_ELSEWHERE)

SHOOT: tuple[Shot, ...] = (
    Shot("bowl", 1, "first light", _product(125, 8), "label"),
    Shot("bowl", 2, "light raised", _product(125, 8), "label", light=1.12),
    Shot("bowl", 3, "focus fell short, on the cup", _product(500, 4), "label", _SOFT, _NEAR,
         focus=-8.0),
    Shot("bowl", 4, "focus put right", _product(500, 4), "label", light=1.06),
    Shot("bowl", 5, "off the tripod, by hand", _product(15, 11), "label", _SOFT,
         (Cause.CAMERA_SHAKE,), shake=(16.0, 20.0)),
    Shot("bowl", 6, "the camera chose the wall", _product(250, 5.6), "label", _SOFT,
         _FAR, focus=14.0),
    Shot("bowl", 7, "pointed at the plain bottle", _product(125, 8), "plain", Verdict.UNJUDGED,
         (Cause.NO_DETAIL,)),
    Shot("bowl", 8, "the specks on the raw foot", _product(125, 8), "glaze"),
    Shot("bowl", 9, "focus too far back", _product(500, 4), "label", _SOFT, _FAR, focus=13.0),
    Shot("bowl", 10, "back on the label", _product(125, 8), "label", light=0.94),
    Shot("maker", 1, "she sits down", _portrait(160, 2.8), "eye"),
    Shot("maker", 2, "focus on the pots before her", _portrait(160, 2), "eye", _SOFT,
         _NEAR, focus=-11.0),
    Shot("maker", 3, "focus on the eye", _portrait(160, 2), "eye", light=1.05),
    Shot("maker", 4, "she nods", _portrait(30, 4, 200), "eye", _SOFT,
         (Cause.SUBJECT_MOTION,), moved=(18.0, 80.0)),
    Shot("maker", 5, "camera upright", _portrait(160, 2.8), "eye", turned=True),
    Shot("maker", 6, "lamp off, by hand", _portrait(25, 2, 1600), "eye", _SOFT,
         (Cause.CAMERA_SHAKE,), shake=(22.0, 115.0), light=0.8),
    Shot("maker", 7, "lamp on again", _portrait(160, 2.8), "eye", light=0.97),
)  # fmt: skip

TRUTH: dict[str, Truth] = {shot.name: shot.truth for shot in SHOOT}


def render(shot: Shot, when: datetime | None = None) -> bytes:
    """Return the frame's JPEG file; the same bytes every time for one shot and time."""
    scene = bowl() if shot.setup == "bowl" else maker(shot.turned)
    light = compose(scene, shot.focus, *shot.moved) * np.float32(shot.light)
    if shot.shake[0] > 0:
        light = blur.apply(light, blur.shake(*shot.shake))
    noise = np.random.default_rng(crc32(shot.name.encode()))
    picture = sensor.expose(light, shot.exposure.iso or 100, noise)
    if shot.turned:
        picture = np.rot90(picture)
    tags = Tags(
        shot.exposure, picture.shape[1], picture.shape[0], when or _when(shot),
        stored_area(shot, scene), _TURNED if shot.turned else 1,
    )  # fmt: skip
    return tagged(sensor.jpeg(picture), tags)


def slate(text: str, when: datetime | None = None) -> bytes:
    """Return a JPEG file of a card with the QR code of `text`, held in front of the product set."""
    held = in_scene(bowl(), Slate(text, share=0.16, at=(0.46, 0.5), tilt_deg=12.0))
    noise = np.random.default_rng(crc32(text.encode()))
    picture = sensor.expose(compose(held).copy(), 100, noise)
    height, width = picture.shape[:2]
    return tagged(sensor.jpeg(picture), Tags(_product(125, 8), width, height, when or _BEGINS))


def stored_area(shot: Shot, scene: Scene) -> Rect:
    """Return the area that the camera was pointed at, in px of the stored image."""
    a = scene.areas[shot.area]
    if shot.turned:
        return Rect(a.y, scene.width - a.x - a.width, a.height, a.width)
    return a


def _when(shot: Shot) -> datetime:
    return _BEGINS + SHOOT.index(shot) * _BETWEEN if shot in SHOOT else _BEGINS


def main(folder: Path) -> None:
    """Write the whole shoot into a folder and tell what each frame is."""
    folder.mkdir(parents=True, exist_ok=True)
    for shot in SHOOT:
        (folder / shot.name).write_bytes(render(shot))
        print(f"{shot.name}  {shot.verdict:8}  {shot.told}")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python -m mocks.shoot FOLDER")
    main(Path(sys.argv[1]))
