"""The terminal's bell."""

from __future__ import annotations

import sys

from tether.model import Judgement, Verdict


def ring_when_soft(judgement: Judgement) -> None:
    """Ring on a soft frame, on standard error, if that is a terminal."""
    if judgement.verdict is Verdict.SOFT and sys.stderr.isatty():
        sys.stderr.write("\a")
        sys.stderr.flush()
