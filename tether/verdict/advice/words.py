"""Numbers and names as advice says them."""

from __future__ import annotations

from tether.model import Source
from tether.verdict.facts import Facts

_LONG = 78  # characters that fit a terminal's line beside a margin


def time(seconds: float) -> str:
    """A shutter time as cameras show it."""
    if seconds >= 0.35:
        return f"{seconds:.1f}".removesuffix(".0") + " s"
    return f"1/{1 / seconds:.0f} s"


def length(focal_mm: float | None) -> str:
    """A focal length as lenses show it; empty where it is not known."""
    if not focal_mm:
        return ""
    return f"{focal_mm:.0f} mm" if focal_mm >= 10 else f"{focal_mm:.1f} mm"


def stop(f_number: float) -> str:
    """An f-number as cameras show it."""
    return f"f/{f_number:.2g}" if f_number < 10 else f"f/{f_number:.0f}"


def place(facts: Facts) -> str:
    """The area as the person knows it: by what named it."""
    source = facts.area.source
    return "metadata's region" if source is Source.REGION_METADATA else source.value


def seen(facts: Facts, along: str = "wide") -> str:
    """How wide edges are and may be; with a second digit where one would not tell them apart."""
    width, limit = facts.widths[0].px, facts.limit_px
    digits = 1 if f"{width:.1f}" != f"{limit:.1f}" else 2
    return f"Edges {width:.{digits}f} px {along}, {limit:.{digits}f} allowed"


def seen_where(facts: Facts, otherwise: str) -> str:
    """The same after the zones' own words, or before `otherwise` where there are none."""
    where = facts.where.strip().rstrip(".")
    if not where:
        return f"{seen(facts)}{otherwise}."
    where = where[0].upper() + where[1:]
    both = f"{where}; {seen(facts).lower()}."
    return both if len(both) <= _LONG else f"{where}."


def noted(facts: Facts) -> str:
    """What the measurement notes, in brackets."""
    return f" ({facts.measurement.note})" if facts.measurement.note else ""
