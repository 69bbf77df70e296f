"""What a verdict rests on, in lines of text; every figure with its unit."""

from __future__ import annotations

import math

from tether.model import EdgeWidth, Judgement, Measurement
from tether.plain import plain
from tether.report.ink import SHAPES
from tether.sharpness.evidence import Evidence
from tether.verdict.eyes import eyes_line
from tether.verdict.taken import focusing


def verdict(judgement: Judgement) -> str:
    """Shape, word and cause."""
    word = judgement.verdict.value.upper()
    cause = f": {judgement.cause.value}" if judgement.cause else ""
    return f"{SHAPES[judgement.verdict]} {word}{cause}"


def facts(judgement: Judgement, found: Evidence) -> list[tuple[str, str]]:
    """Name and text of what is known of a judged area, in the order in which it is read."""
    measured, area, size = judgement.measurement, judgement.area, judgement.size
    assert measured and area and size, "it was measured"
    rect = area.rect
    lines = [
        ("file", plain(str(judgement.file))),
        ("frame", f"{size[0]} x {size[1]} px, drawn as stored{_turned(judgement)}"),
        ("judged from", judgement.judged_from),
        (
            "area",
            f"{rect.width} x {rect.height} px, its top left at x {rect.x}, y {rect.y} px; "
            f"from: {area.source.value}",
        ),
        ("sources", "; ".join(area.why)),
        *_widths(judgement, measured, found),
        ("eyes", eyes(judgement)),
        ("limit", judgement.limit_why),
        ("focused", focusing(judgement.exposure)),
        ("edges used", f"{measured.edges}"),
        ("noise", f"{measured.noise:.2%} of full scale, standard deviation of a pixel"),
        ("clipped", f"{measured.clipped:.1%} of the area's pixels"),
        ("note", measured.note),
        *(("note", plain(line)) for line in judgement.notes),
        *(("advice", plain(line)) for line in judgement.advice),
    ]
    return [(name, text) for name, text in lines if text]


def eyes(judgement: Judgement) -> str:
    """Both eyes' edge widths, where eyes were looked for and seen."""
    return eyes_line([(one.part, one.width.px if one.width else None) for one in judgement.eyes])


def _turned(judgement: Judgement) -> str:
    return "" if judgement.orientation == 1 else ", not turned as its orientation tag asks"


def _widths(judgement: Judgement, measured: Measurement, found: Evidence) -> list[tuple[str, str]]:
    if measured.widest is None or measured.narrowest is None:
        why = measured.reason.value if measured.reason else "not judged"
        return [("edge width", f"not told: {why}")]
    pitch = judgement.exposure.pixel_pitch_um
    lines = []
    if found.widths is not None:
        along = round(math.degrees(found.widths.swing.angle)) % 180
        lines = [
            ("widest", _width(measured.widest, along, pitch)),
            ("narrowest", _width(measured.narrowest, (along + 90) % 180, pitch)),
        ]
        if found.widths.halved:
            share = f"{found.widths.halved:.0%} of the half circle's widths"
            lines.append(("wide blur", f"{share} come from the area at half size"))
    motion = measured.motion
    moved = (
        f"along {motion.angle_deg:.0f}°, edges {motion.ratio:.1f} times as wide as across it"
        if motion
        else "none seen"
    )
    return [*lines, ("movement", moved)]


def _width(width: EdgeWidth, angle_deg: int, pitch_um: float | None) -> str:
    text = f"{width.px:.1f} px (95 %: {width.lo:.1f}–{width.hi:.1f} px), near {angle_deg}°"
    return text if pitch_um is None else f"{text}; {width.px * pitch_um:.0f} µm on the sensor"
