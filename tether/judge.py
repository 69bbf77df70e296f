"""One frame, from file to verdict: read, aim, measure, decide; then, if it is soft, the rest of it.

The verdict needs the focus area alone and does not wait for more: `judge`. Why a frame is soft, and
where it is sharp instead, the rest of the frame tells: `complete`.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
from threadpoolctl import threadpool_limits

from tether.frame import file, metadata, picture, slate
from tether.frame.aim import aim
from tether.frame.anchor import Anchor
from tether.frame.crop import crop, crop_of_all
from tether.frame.file import FileIdentity
from tether.frame.fixed import OutsideFrame, laid_over
from tether.frame.picture import Picture
from tether.frame.pixels import SMALLEST_SIDE
from tether.model import Around, Cause, Exposure, Eye, Judgement, Measurement, Rect, Verdict
from tether.reference import Answer, Lookup, Reference, as_judged, compared
from tether.settings import Settings
from tether.sharpness.around import look_around
from tether.sharpness.cut import with_margin
from tether.sharpness.measure import measure
from tether.sharpness.network import calibration
from tether.sharpness.relative import Comparison
from tether.verdict.advice import advise
from tether.verdict.decide import decide
from tether.verdict.facts import Facts
from tether.verdict.limit import Leeway, allowed, fed
from tether.verdict.plane import Plane
from tether.zones import look_at_face


@dataclass(frozen=True, slots=True)
class Asked:
    """A file to be judged: its name as a frame, and when it was found whole.

    `found` is `time.monotonic()` at that moment. `within` is the folder that no link may leave.
    `camera` says whose frame it is, where that is a question. `number` is the frame's in a watch,
    `file` what is to lie there, and `came` when the frame arrived first, in s since 1970.
    """

    path: Path
    frame: str
    arrived: datetime
    found: float
    within: Path | None = None
    camera: str | None = None
    number: int = 0
    file: FileIdentity | None = None
    came: float = 0.0


@dataclass(frozen=True, slots=True)
class Rest:
    """What the rest of a frame is looked at with: its pixels, its tags, its faces if found.

    `faces` is whether to look at the face that the area lies on.
    """

    picture: Picture
    faces: bool


@dataclass(frozen=True, slots=True)
class Judged:
    """A judgement with the digest of the bytes that it is of; None where none could be read.

    `file` is what was read, and `missed` is whether what was to be read was not there as it was
    wanted. `rest` is there while the rest of the frame has more to tell. It and `pixels` hold the
    whole frame in memory: let go of them soon. `pixels` are what later frames can be measured
    against, of a frame that was measured itself. `against` is there where a reference was given and
    an area found. `laid` is the fixed area of the settings as it lies over this frame, where that
    was asked for.
    """

    judgement: Judgement
    digest: bytes | None
    rest: Rest | None = None
    against: Comparison | None = None
    laid: Anchor | None = None
    pixels: Reference | None = None
    file: FileIdentity | None = None
    missed: bool = False


def judge(
    asked: Asked,
    settings: Settings,
    lookup: Lookup | None = None,
    anchor: Anchor | None = None,
    *,
    laying: bool = False,
    leeway: Leeway | None = None,
    listed: slate.Listed | None = None,
) -> Judged:
    """Judge one frame by its focus area, and compare it with a reference if there is one.

    Never raises for anything a file can hold: that is a verdict too. A slate is not measured: it
    is unjudged, without a cause, and its code is told.

    Parameters
    ----------
    asked, settings
        The frame, and what to judge it by.
    lookup
        Asked for the frame to compare it with, once its verdict is found but before it is told.
    anchor
        A fixed area as it lay over an earlier frame, to follow.
    laying
        Whether to lay the settings' fixed area over this frame, if it is judged there.
    leeway
        How far the session's limit is from the settings' own.
    listed
        Tells whether a code is on the shot list, where there is one.
    """
    try:
        content = file.read(asked.path, asked.within, wanted=asked.file)
    except file.Unreadable as problem:
        missed = isinstance(problem, file.Missing | file.Another | file.Changing)
        return Judged(unreadable(asked, str(problem)), None, missed=missed)
    rest = against = laid = pixels = None
    try:
        judgement, picture, against = _measured(
            content.data, asked, settings, lookup, anchor, leeway, listed
        )
        if picture is not None and judgement.verdict is Verdict.SOFT:
            rest = Rest(picture, settings.area.faces)
        if picture is not None and judgement.verdict is not Verdict.UNJUDGED:
            pixels = as_judged(picture, judgement)
        if picture is not None and laying and judgement.verdict is not Verdict.UNJUDGED:
            laid = laid_over(picture, settings.area, judgement.area, judgement.frame)
    except (file.Unreadable, MemoryError) as problem:
        judgement = unreadable(asked, str(problem) or "not enough memory to decode it")
    digest = file.digest(content.data)
    return Judged(judgement, digest, rest, against, laid, pixels, content.identity)


def complete(
    judged: Judged,
    go_on: Callable[[], bool] = lambda: True,
    history: tuple[Cause | None, ...] = (),
) -> Judgement | None:
    """Look at the rest of a frame and say why it is soft, and where it is not.

    The verdict stays, and so do its times.

    Parameters
    ----------
    judged
        What `judge` returned. Without `rest` its judgement is whole already.
    go_on
        Asked every 10 ms or so whether to go on, but not while a face is looked at (0.3 s).
    history
        Causes of the frames before this one with the same lens, None for a frame without.

    Returns
    -------
    Judgement or None
        None if it was told not to go on.
    """
    first, rest = judged.judgement, judged.rest
    if rest is None or first.measurement is None or first.area is None:
        return first
    try:
        luma, curve = rest.picture.luma, rest.picture.tags.curve
        around = look_around(luma, first.area.rect, first.measurement, curve, go_on)
    except MemoryError:
        return first  # the verdict stands without it
    if around is None or not go_on():
        return None
    return _explained(first, around, _plane(rest, first) if rest.faces else None, history)


def judge_whole(
    asked: Asked,
    settings: Settings,
    reference: Reference | None = None,
    listed: slate.Listed | None = None,
) -> Judged:
    """Judge one frame and, if it is soft, look at the rest of it at once."""
    lookup = (lambda _: Answer(reference)) if reference is not None else None
    judged = judge(asked, settings, lookup, listed=listed)
    whole = complete(judged) or judged.judgement
    return Judged(whole, judged.digest, against=judged.against, file=judged.file)


def warm() -> None:
    """Do once what the first measurement would do, so that the first frame waits for nothing.

    Frames are judged side by side, one a thread: a matrix product that took all cores for itself
    would only be in their way, so this keeps it to one, for the whole process.
    """
    metadata.get_ready()
    threadpool_limits(limits=1, user_api="blas")
    calibration()
    slate.warm()
    flat = np.zeros((SMALLEST_SIDE, SMALLEST_SIDE), np.uint8)
    measure(flat, Rect(0, 0, SMALLEST_SIDE, SMALLEST_SIDE))


def unreadable(asked: Asked, why: str) -> Judgement:
    """The judgement of a frame that yields no picture: unjudged, with the reason."""
    return _stamped(asked, verdict=Verdict.UNJUDGED, cause=Cause.UNREADABLE, error=why)


def _measured(
    data: bytes,
    asked: Asked,
    settings: Settings,
    lookup: Lookup | None,
    anchor: Anchor | None,
    leeway: Leeway | None,
    listed: slate.Listed | None,
) -> tuple[Judgement, Picture | None, Comparison | None]:
    seen = replace(picture.read(data, asked.path), anchor=anchor)
    luma, told = seen.luma, seen.tags
    exposure = _completed(told.exposure, settings)
    shown = slate.read(luma, settings.slate.codes, listed)
    if shown is not None and not shown.refused:
        jpeg = crop_of_all(luma, shown.rect, told.orientation)
        found = _unmeasured(asked, seen, exposure, slate=shown.code, crop=jpeg, notes=told.problems)
        return found, None, None
    refused = f"not taken for a slate: {shown.refused}" if shown is not None else ""
    notes = (*filter(None, (refused,)), *told.problems)
    try:
        aimed = aim(seen, settings.area)
    except OutsideFrame as problem:
        outside = _unmeasured(asked, seen, exposure, error=str(problem), notes=notes)
        return outside, None, None
    area = aimed.area
    measurement = measure(*with_margin(luma, area.rect), told.curve)
    limit = fed(allowed(settings.limit.purpose, max(seen.width, seen.height), exposure), leeway)
    verdict, cause = decide(measurement, limit.px)
    eyes = _eyes(seen, aimed.eyes, measurement)
    against, named, note = compared(lookup, exposure, seen, area, eyes)
    judgement = _stamped(
        asked,
        verdict=verdict,
        cause=cause,
        measurement=measurement,
        limit_px=limit.px,
        limit_why=limit.why,
        slate_refused=refused,
        limit_times=leeway.times if leeway is not None else 1.0,
        area=area,
        exposure=exposure,
        orientation=told.orientation,
        size=(seen.width, seen.height),
        relative_blur=against.ratio if against is not None else None,
        against=named,
        notes=(*filter(None, (area.lost, note)), *notes),
        judged_from=seen.judged_from,
        eyes=eyes,
        taken_s=told.taken_s,
    )
    jpeg = crop(luma, area.rect, told.orientation)
    return replace(judgement, advice=_advice(judgement), crop=jpeg), seen, against


def _unmeasured(asked: Asked, seen: Picture, exposure: Exposure, **told: Any) -> Judgement:
    """The judgement of a frame whose area is not looked at."""
    return _stamped(
        asked,
        verdict=Verdict.UNJUDGED,
        exposure=exposure,
        orientation=seen.tags.orientation,
        size=(seen.width, seen.height),
        judged_from=seen.judged_from,
        taken_s=seen.tags.taken_s,
        **told,
    )


def _completed(told: Exposure, settings: Settings) -> Exposure:
    """The exposure with what the settings know of the camera where the file does not tell it."""
    if told.pixel_pitch_um is not None:
        return told
    return replace(told, pixel_pitch_um=settings.camera.pixel_pitch_um)


def _eyes(picture: Picture, eyes: tuple[Eye, ...], first: Measurement) -> tuple[Eye, ...]:
    """The eyes with their widths; the first is the focus area and measured already."""
    widths = [first.widest] + [
        measure(*with_margin(picture.luma, eye.rect), picture.tags.curve).widest for eye in eyes[1:]
    ]
    return tuple(replace(eye, width=width) for eye, width in zip(eyes, widths, strict=False))


def _plane(rest: Rest, first: Judgement) -> Plane | None:
    """Where in depth the focus lay, told by the face that the area lies on."""
    assert first.area is not None and first.limit_px is not None
    if first.measurement is None or first.measurement.motion is not None:
        return None
    found = look_at_face(rest.picture, first.area.rect, first.limit_px)
    return found.plane if found is not None else None


def _explained(
    first: Judgement, around: Around, plane: Plane | None, history: tuple[Cause | None, ...]
) -> Judgement:
    """The judgement with what the rest of the frame adds to it."""
    assert first.measurement is not None and first.limit_px is not None
    _, cause = decide(first.measurement, first.limit_px, around)
    if plane is not None:
        cause = plane.cause
    whole = replace(first, cause=cause, around=around, sharpest=around.sharpest)
    return replace(whole, advice=_advice(whole, plane.words if plane is not None else "", history))


def _advice(
    told: Judgement, where: str = "", history: tuple[Cause | None, ...] = ()
) -> tuple[str, ...]:
    measurement, limit, area, size = told.measurement, told.limit_px, told.area, told.size
    assert measurement and limit and area and size, "it was measured"
    facts = Facts(
        told.verdict, told.cause, measurement, limit, told.exposure, area, *size, told.orientation
    )
    distance = told.exposure.focus_distance_m
    if distance is not None and math.isfinite(distance):
        facts = replace(facts, focus_distance_mm=1000 * distance)
    facts = replace(facts, against=told.against, relative_blur=told.relative_blur)
    return advise(replace(facts, around=told.around, where=where, history=history))


def _stamped(asked: Asked, **told: Any) -> Judgement:
    """A judgement with who and when filled in; made at the moment the verdict stands."""
    return Judgement(
        file=asked.path,
        frame=asked.frame,
        arrived=asked.arrived,
        judged=datetime.now().astimezone(),
        latency_ms=1000 * (time.monotonic() - asked.found),
        camera=asked.camera,
        **told,
    )
