"""Colours on white paper, and the verdict's shapes: no meaning hangs on colour alone."""

from __future__ import annotations

from tether.model import Verdict

# Okabe and Ito's colours, which people of any colour vision tell apart.
BLUE = "#0072b2"
SKY_BLUE = "#56b4e9"
ORANGE = "#e69f00"
VERMILLION = "#d55e00"

BLACK = "#000000"
QUIET = "#555555"
RULE = "#cccccc"

SHAPES = {
    Verdict.SHARP: "●",
    Verdict.BORDERLINE: "◐",
    Verdict.SOFT: "▲",
    Verdict.UNJUDGED: "○",
}
