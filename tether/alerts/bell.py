"""The terminal's bell."""

from __future__ import annotations

import sys

from tether.model import Judgement, Verdict


def ring_when_soft(judgement: Judgement, in_danger: bool = True) -> None:
    """Ring on a soft frame while its setup needs it, on standard error, if that is a terminal."""
    if in_danger and judgement.verdict is Verdict.SOFT and sys.stderr.isatty():
        sys.stderr.write("\a")
        sys.stderr.flush()
