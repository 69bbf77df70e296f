"""One frame, from file to verdict: read, aim, measure, decide; then the rest of it.

The verdict needs the focus area alone and does not wait for more: `judge`. What takes longer and
may change it, or tells why a frame is soft and where it is sharp instead, follows: `complete`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from threadpoolctl import threadpool_limits

from tether.asked import Asked
from tether.frame import file, metadata, picture, region_metadata, slate
from tether.frame.aim import aim
from tether.frame.anchor import Anchor
from tether.frame.crop import crop_of_all
from tether.frame.faces_likely import Likely, at_rect
from tether.frame.file import FileIdentity
from tether.frame.fixed import OutsideFrame, laid_over
from tether.frame.picture import Picture
from tether.frame.pixels import SMALLEST_SIDE
from tether.model import Cause, Exposure, Judgement, Rect, Verdict
from tether.on_area import (
    Frame,
    explained,
    on_area,
    stamped,
    stamped_anew,
    unmeasured,
    with_reference,
    without_reference_yet,
)
from tether.reference import Answer, Lookup, Reference, as_judged
from tether.settings import Settings
from tether.sharpness.around import look_around
from tether.sharpness.measure import measure
from tether.sharpness.network import calibration
from tether.sharpness.relative import Comparison
from tether.verdict.limit import Leeway
from tether.zones import look_at_face

__all__ = ["Asked", "Judged", "Rest", "complete", "judge", "judge_whole", "unreadable", "warm"]


@dataclass(frozen=True, slots=True)
class Rest:
    """What the rest of a frame is looked at with; `compare` is whether its reference waits, too."""

    frame: Frame
    compare: bool


@dataclass(frozen=True, slots=True)
class Judged:
    """A judgement with the digest of the bytes that it is of; None where none could be read.

    `file` is what was read, and `missed` is whether what was to be read was not there as it was
    wanted. `rest` is there while the rest of the frame has more to tell. It and `pixels` hold the
    whole frame in memory: let go of them soon. `pixels` are what later frames can be measured
    against, of a frame that was measured itself. `against` is there where a reference was given and
    an area found. `laid` is the fixed area of the settings as it lies over this frame, where that
    was asked for. `likely` is where the next frame may have faces that are not found at once.
    """

    judgement: Judgement
    digest: bytes | None
    rest: Rest | None = None
    against: Comparison | None = None
    laid: Anchor | None = None
    pixels: Reference | None = None
    file: FileIdentity | None = None
    missed: bool = False
    likely: tuple[Likely, ...] = ()


def judge(
    asked: Asked,
    settings: Settings,
    lookup: Lookup | None = None,
    anchor: Anchor | None = None,
    *,
    laying: bool = False,
    leeway: Leeway | None = None,
    listed: slate.Listed | None = None,
    likely: Sequence[Likely] = (),
    pressing: Callable[[], bool] = lambda: False,
) -> Judged:
    """Judge one frame by its focus area, and compare it with a reference if there is one.

    Never raises for anything a file can hold: that is a verdict too. A slate is not measured: it
    is unjudged, without a cause, and its code is told. Where the nearest eye is to be judged and a
    first look finds none, the next source says where to look, until `complete`.

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
    likely
        Where earlier frames had faces that are not found at once, the likeliest first.
    pressing
        Asked once the verdict is found whether others wait for theirs: then the comparison is left
        to `complete`.
    """
    try:
        content = file.read(asked.path, asked.within, wanted=asked.file)
    except file.Unreadable as problem:
        missed = isinstance(problem, file.Missing | file.Another | file.Changing)
        return Judged(unreadable(asked, str(problem)), None, missed=missed)
    try:
        seen = replace(picture.read(content.data, asked.path), anchor=anchor, hurried=True)
        seen = replace(seen, likely=(*_named(seen, settings), *likely))
        exposure = _completed(seen.tags.exposure, settings)
        frame = Frame(asked, settings, seen, exposure, lookup, leeway)
        shown = slate.read(seen.luma, settings.slate.codes, listed)
        if shown is not None and not shown.refused:
            judged = Judged(_of_slate(frame, shown), None)
        else:
            refused = f"not taken for a slate: {shown.refused}" if shown is not None else ""
            judged = _at_first(replace(frame, refused=refused), laying, pressing)
    except (file.Unreadable, MemoryError) as problem:
        why = str(problem) or "not enough memory to decode it"
        judged = Judged(unreadable(asked, why), None)
    return replace(judged, digest=file.digest(content.data), file=content.identity)


def complete(
    judged: Judged,
    go_on: Callable[[], bool] = lambda: True,
    history: tuple[Cause | None, ...] = (),
) -> Judged | None:
    """Look at the rest of a frame.

    Where faces are still looked for and one is found, the frame is judged anew on its eye: then
    verdict, area, cause, advice, crop and times are others. Else the verdict stays, and so do its
    times. A comparison that waited is made. Of a soft frame it is said why, and where it is sharp.

    Parameters
    ----------
    judged
        What `judge` returned. Without `rest` it is whole already.
    go_on
        Asked every 100 ms or so whether to go on, but not while the parts of a face are measured
        (0.1 s).
    history
        Causes of the frames before this one with the same lens, None for a frame without.

    Returns
    -------
    Judged or None
        The same without `rest`; None if it was told not to go on.
    """
    try:
        done = _whole(judged, judged.rest, go_on, history) if judged.rest else judged
    except MemoryError:
        return replace(judged, rest=None)  # the verdict stands without it
    return replace(done, rest=None) if done is not None else None


def judge_whole(
    asked: Asked,
    settings: Settings,
    reference: Reference | None = None,
    listed: slate.Listed | None = None,
) -> Judged:
    """Judge one frame and look at the rest of it at once."""
    lookup = (lambda _: Answer(reference)) if reference is not None else None
    judged = judge(asked, settings, lookup, listed=listed)
    whole = complete(judged) or judged
    return Judged(whole.judgement, judged.digest, against=whole.against, file=judged.file)


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
    return stamped(asked, verdict=Verdict.UNJUDGED, cause=Cause.UNREADABLE, error=why)


def _named(seen: Picture, settings: Settings) -> list[Likely]:
    """Where the file itself says that faces are."""
    return [at_rect(rect, seen.luma) for rect in region_metadata.faces(seen, settings.area)]


def _completed(told: Exposure, settings: Settings) -> Exposure:
    """The exposure with what the settings know of the camera where the file does not tell it."""
    if told.pixel_pitch_um is not None:
        return told
    return replace(told, pixel_pitch_um=settings.camera.pixel_pitch_um)


def _of_slate(frame: Frame, shown: slate.Slate) -> Judgement:
    seen = frame.picture
    jpeg = crop_of_all(seen.luma, shown.rect, seen.tags.orientation)
    return unmeasured(frame, slate=shown.code, crop=jpeg)


def _at_first(frame: Frame, laying: bool, pressing: Callable[[], bool]) -> Judged:
    """The verdict, by what is known at first."""
    seen, settings = frame.picture, frame.settings
    try:
        aimed = aim(seen, settings.area)
    except OutsideFrame as problem:
        outside = unmeasured(frame, error=str(problem))
        return Judged(outside, None, Rest(frame, compare=False) if seen.searching else None)
    judgement, against = on_area(frame, aimed), None
    waits = frame.lookup is not None and pressing()
    if waits:
        judgement = without_reference_yet(judgement)
    else:
        judgement, against = with_reference(frame, judgement)
    judgement = stamped_anew(frame.asked, judgement)
    more = waits or seen.searching or judgement.verdict is Verdict.SOFT
    laid = None
    if laying and judgement.verdict is not Verdict.UNJUDGED:
        laid = laid_over(seen, settings.area, judgement.area, judgement.frame)
    rest = Rest(frame, waits) if more else None
    pixels = _pixels(seen, judgement)
    return Judged(judgement, None, rest, against, laid, pixels, likely=seen.late)


def _pixels(seen: Picture, judgement: Judgement) -> Reference | None:
    return as_judged(seen, judgement) if judgement.verdict is not Verdict.UNJUDGED else None


def _whole(
    judged: Judged, rest: Rest, go_on: Callable[[], bool], history: tuple[Cause | None, ...]
) -> Judged | None:
    frame, seen, compare = rest.frame, rest.frame.picture, rest.compare
    judgement, against, anew = judged.judgement, judged.against, None
    if seen.searching:
        known = seen.faces()
        if not seen.look_on(go_on):
            return None
        anew = _on_another_area(frame, judgement) if seen.faces() != known else None
    if anew is not None:
        judgement, against, compare = anew, None, frame.lookup is not None
    if compare:
        if not go_on():
            return None
        judgement, against = with_reference(frame, judgement)
    if anew is not None:
        judgement = stamped_anew(frame.asked, judgement)
    if judgement.verdict is Verdict.SOFT:
        told = _with_causes(frame, judgement, go_on, history)
        if told is None:
            return None
        judgement = told
    pixels = _pixels(seen, judgement)
    return replace(judged, judgement=judgement, against=against, pixels=pixels, likely=seen.late)


def _on_another_area(frame: Frame, first: Judgement) -> Judgement | None:
    """The frame judged where the faces that were found since say; None if that is no other area."""
    try:
        aimed = aim(frame.picture, frame.settings.area)
    except OutsideFrame:
        return None
    return on_area(frame, aimed) if aimed.area != first.area else None


def _with_causes(
    frame: Frame,
    first: Judgement,
    go_on: Callable[[], bool],
    history: tuple[Cause | None, ...],
) -> Judgement | None:
    """Say why a frame is soft, and where it is not; None if it was told not to go on."""
    seen, area, limit_px = frame.picture, first.area, first.limit_px
    assert first.measurement and area and limit_px, "it was measured"
    around = look_around(seen.luma, area.rect, first.measurement, seen.tags.curve, go_on)
    if around is None or not go_on():
        return None
    plane = None
    if frame.settings.area.faces and first.measurement.motion is None:
        seen.faces((area.rect.x + area.rect.width / 2, area.rect.y + area.rect.height / 2))
        if not seen.look_on(go_on):
            return None
        found = look_at_face(seen, area.rect, limit_px)
        plane = found.plane if found is not None else None
    return explained(first, around, plane, history)
