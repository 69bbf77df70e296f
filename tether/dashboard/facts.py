"""What is known of the selected frame, in the words of the contract."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from rich.style import Style
from textual.strip import Strip

from tether.contract import rect
from tether.dashboard.messages import Detail
from tether.dashboard.palette import OVERRULED, SLATE, SYMBOLS, Palette
from tether.dashboard.panel import Panel
from tether.dashboard.shots import Shots
from tether.dashboard.text import line, wrapped
from tether.model import Against, Eye
from tether.plain import plain
from tether.session.frame_evidence import FrameEvidence
from tether.session.reader import Row
from tether.verdict.eyes import eyes_line
from tether.verdict.place import place

LABEL = 8  # columns
WIDE = 60  # columns from which short facts share a line


@dataclass(frozen=True, slots=True)
class Fact:
    """One line or two of the part; of higher `worth` when there is not room for all."""

    label: str
    text: str
    worth: int
    lines: int = 1


class Facts(Panel):
    """Facts of one frame."""

    def __init__(self, palette: Palette, shots: Shots) -> None:
        super().__init__(palette)
        self._shots = shots
        self._row: Row | None = None
        self._facts: dict[str, Any] = {}
        self._evidence = FrameEvidence()
        self._said, self._chosen = "", False

    def show(self, row: Row | None, detail: Detail | None) -> None:
        """Show what is known of `row`."""
        self._row = row
        self._facts = (detail.facts if detail else None) or {}
        self._evidence = detail.evidence if detail else FrameEvidence()
        said = detail.said if detail else None
        self._said = f"{said[0]}: {said[1]}" if said else ""
        self._chosen = detail is not None and detail.chosen
        self.refresh()

    def drawn(self, y: int, width: int) -> Strip:
        """Draw the heading or a line of facts."""
        text, quiet = self.palette.text(), self.palette.quiet()
        row = self._row
        if row is None:
            return self.blank(width)
        if y == 0:
            return line(self._verdict(row), width, text)
        setup, leeway = self._shots.name(row.setup), self._shots.leeway
        facts = facts_of(
            *(row, self._facts, self._evidence), wide=width >= WIDE, setup=setup, said=self._said
        )
        if self._chosen:
            facts.append(Fact("against", "this frame is the reference of its setup", 16))
        if leeway is not None:
            told = f"fed by {plain(leeway.frame)}: {leeway.times:.2f} times the settings'"
            facts.append(Fact("limits", told, 14))
        lines = laid_out(facts, width - LABEL, self.size.height - 1)
        if y > len(lines):
            return self.blank(width)
        label, told = lines[y - 1]
        return line([(f"{label:<{LABEL}}", quiet), (told, text)], width, text)

    def _verdict(self, row: Row) -> list[tuple[str, Style]]:
        text = self.palette.text()
        if row.slate is not None:
            return [(f"{SLATE} slate", self.palette.strong()), (f"  {plain(row.slate)}", text)]
        measured = row.verdict + f", {row.cause}" * bool(row.cause)
        told = f"  {OVERRULED} overruled, measured {measured}"
        if not row.overruled:
            told = f"  {row.cause}" if row.cause else ""
        word = f"{SYMBOLS.get(row.stands, '?')} {row.stands}"
        return [(word, self.palette.verdict(row.stands)), (told, text)]


def laid_out(facts: list[Fact], columns: int, height: int) -> list[tuple[str, str]]:
    """Return label and text of each line: the worthiest facts that fit, in their own order."""
    shown = {fact: wrapped(fact.text, max(1, columns), fact.lines) for fact in facts if fact.text}
    for fact in sorted(shown, key=lambda fact: fact.worth):
        if sum(map(len, shown.values())) > height:
            del shown[fact]
    return [
        (fact.label if first == 0 else "", told)
        for fact, lines in shown.items()
        for first, told in enumerate(lines)
    ]


def facts_of(
    row: Row,
    facts: dict[str, Any],
    evidence: FrameEvidence,
    *,
    wide: bool = False,
    setup: str = "",
    said: str = "",
) -> list[Fact]:
    """Put what is known into words; text is empty where nothing is."""
    taken = facts.get("exposure") or {}
    when = datetime.fromtimestamp(row.arrived).strftime("%H:%M:%S")
    judged = facts.get("latency_ms")
    latency = "" if judged is None else f"{judged / 1000:.2f} s"
    lens, body = (plain(str(taken.get(key) or "")) for key in ("lens", "body"))
    frame = [row.name, when]
    if wide:
        frame.append(f"latency {latency}" if latency else "")
        lens, body, latency = " on ".join(part for part in (lens, body) if part), "", ""
    advice = [str(one) for one in facts.get("advice") or []]
    return [
        Fact("frame", ", ".join(part for part in frame if part), 20),
        Fact("setup", setup or plain(str(facts.get("setup") or "")), 15),
        Fact("said", plain(said), 19, 2),
        Fact("error", plain(facts.get("error") or ""), 19, 2),
        *(Fact("advice", plain(one), 18 - place, 2) for place, one in enumerate(advice)),
        Fact("note", plain("; ".join(evidence.notes)), 16, 2),
        Fact("edge", _edge(row, facts), 17),
        Fact("narrow", _px(facts.get("edge_width_narrow_px"), " in the narrowest direction"), 8),
        Fact("from", plain(evidence.judged_from), 10),
        Fact("limit", _px(row.limit_px), 14),
        Fact("where", _sharpest(facts.get("sharpest"), evidence), 16),
        Fact("motion", _motion(facts.get("motion")), 15),
        Fact("eyes", _eyes(evidence.eyes), 11, 2),
        Fact("against", _relative(facts.get("relative_blur"), evidence.against), 9, 2),
        Fact("area", _area(facts.get("area")), 12, 2),
        Fact("taken", _exposure(taken), 13, 2),
        Fact("focused", plain(evidence.focusing), 4),
        Fact("camera", plain(row.camera or ""), 10),
        Fact("lens", lens, 7),
        Fact("body", body, 6),
        Fact("latency", latency, 5),
    ]


def _edge(row: Row, facts: dict[str, Any]) -> str:
    if row.edge_width_px is None:
        return "not measured" if row.slate is None else ""
    interval = ""
    if row.edge_width_lo is not None and row.edge_width_hi is not None:
        interval = f" ({row.edge_width_lo:.2f}–{row.edge_width_hi:.2f})"
    um = facts.get("edge_width_um")
    return f"{row.edge_width_px:.2f} px{interval}" + (f", {um:.1f} µm" if um else "")


def _px(value: float | None, more: str = "") -> str:
    return "" if value is None else f"{value:.2f} px{more}"


def _motion(motion: dict[str, Any] | None) -> str:
    if not motion:
        return ""
    return f"{motion['angle_deg']:.0f}°, {motion['ratio']:.1f} times wider along it"


def _sharpest(found: dict[str, Any] | None, evidence: FrameEvidence) -> str:
    if not found:
        return ""
    width = f"{found['edge_width_px']:.1f} px"
    if not evidence.size:
        return width
    words = place(rect(found), evidence.size, evidence.orientation)
    return f"{width}, {words} of frame"


def _eyes(eyes: tuple[Eye, ...]) -> str:
    return eyes_line([(eye.part.value, eye.width.px if eye.width else None) for eye in eyes])


def _relative(value: float | None, against: Against | None) -> str:
    if not against:
        return "" if value is None else f"{value:.2f} times the reference's edge width"
    name = plain(against.frame)
    if value is None or not against.ratio_95:
        with_it = f" with the reference {name}" if name else " with a reference yet"
        return f"not compared{with_it}: {plain(against.reason)}"
    low, high = against.ratio_95
    return f"{value:.2f} times the reference {name} ({low:.2f}–{high:.2f})"


def _area(area: dict[str, Any] | None) -> str:
    if not area:
        return ""
    place = f"{area['width']}×{area['height']} px at {area['x']}, {area['y']}"
    return f"{plain(str(area['source']))}, {place}"


def _exposure(taken: dict[str, Any]) -> str:
    shutter, stop = taken.get("shutter_s"), taken.get("f_number")
    length, iso = taken.get("focal_length_mm"), taken.get("iso")
    parts = [
        _shutter(shutter) if shutter else "",
        f"f/{stop:g}" if stop else "",
        f"{length:g} mm" if length else "",
        f"ISO {iso}" if iso else "",
    ]
    return ", ".join(part for part in parts if part)


def _shutter(seconds: float) -> str:
    return f"1/{1 / seconds:.0f} s" if 0 < seconds < 0.3 else f"{seconds:g} s"
