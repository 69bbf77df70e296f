"""How a judged frame is printed: a line for a person, or the contract's for a script."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, TextIO

from tether import contract
from tether.model import Judgement, Verdict
from tether.plain import plain

if TYPE_CHECKING:
    from tether.sharpness.relative import Comparison

# Verdict by word and shape; colour is the dashboard's.
_MARK = {
    Verdict.SHARP: "● sharp     ",
    Verdict.BORDERLINE: "◐ borderline",
    Verdict.SOFT: "▲ SOFT      ",
    Verdict.UNJUDGED: "○ unjudged  ",
}


def for_script(judgement: Judgement, out: TextIO) -> None:
    """Print the contract's line at once, so that a reader of the pipe has it now.

    What could not be read beside the pixels, and a slate's code, go to standard error.
    """
    print(contract.line(judgement), file=out, flush=True)
    slate = (f"slate: {judgement.slate}",) if judgement.slate else ()
    for note in (*slate, *judgement.notes):
        print(f"tether: {plain(judgement.frame)}: {plain(note)}", file=sys.stderr, flush=True)


def for_person(judgement: Judgement, out: TextIO) -> None:
    """Print verdict, name, what was measured, and what to change."""
    parts = [_MARK[judgement.verdict], plain(judgement.frame), _measured(judgement)]
    text = "  ".join(part for part in parts if part)
    details = [judgement.error] if judgement.error else list(judgement.advice)
    details += judgement.notes
    for detail in details:
        text += f"\n                {plain(detail)}"
    print(encodable(text, out), file=out, flush=True)


def heading(setup: str | None, out: TextIO) -> None:
    """Print the setup that the frames below belong to."""
    print(encodable(f"setup {plain(setup)}" if setup else "no setup", out), file=out, flush=True)


def limit(judgement: Judgement) -> str:
    """A frame's limit as it is printed, or nothing."""
    return "" if judgement.limit_px is None else f"limit {judgement.limit_px:.1f}"


def limit_why(judgement: Judgement, out: TextIO) -> None:
    """Print where a frame's limit comes from."""
    print(encodable(f"  limit       {judgement.limit_why}", out), file=out, flush=True)


def against(found: Comparison, out: TextIO) -> None:
    """Print how a frame compares with its reference."""
    text = f"                against the reference: {_compared(found)}"
    print(encodable(text, out), file=out, flush=True)


def _compared(found: Comparison) -> str:
    if found.ratio is None or found.ratio_95 is None or found.added_95 is None:
        return f"not compared: {found.reason}"
    interval = f"{found.ratio:.2f} times its edge width ({{:.2f}}–{{:.2f}})".format(*found.ratio_95)
    if found.added_95[0] <= 0 <= found.added_95[1]:
        return f"as sharp: {interval}"
    along = f", most along {found.angle_deg:.0f}°" if found.angle_deg is not None else ""
    return f"{'softer' if found.ratio > 1 else 'sharper'}: {interval}{along}"


def _measured(judgement: Judgement) -> str:
    if judgement.slate:
        return f"slate: {plain(judgement.slate)}"
    cause = judgement.cause.value if judgement.cause else ""
    widest = judgement.measurement.widest if judgement.measurement else None
    if widest is None or judgement.area is None:
        return cause
    width = (
        f"edge {widest.px:.1f} px ({widest.lo:.1f}–{widest.hi:.1f}), "
        f"{limit(judgement)}, {judgement.area.source.value}"
    )
    return f"{width}: {cause}" if cause else width


def encodable(text: str, out: TextIO) -> str:
    """Return `text` with a question mark for whatever `out` cannot write."""
    encoding = out.encoding or sys.getdefaultencoding()
    return text.encode(encoding, "replace").decode(encoding)
