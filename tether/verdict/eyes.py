"""The eyes of the sitter in a line of words."""

from __future__ import annotations

from collections.abc import Sequence


def eyes_line(eyes: Sequence[tuple[str, float | None]]) -> str:
    """Tell the edge width of each eye, px, the one that was judged first; empty without any.

    Parameters
    ----------
    eyes
        Name of each eye, and its edge width in the widest direction; None where none was told.
    """
    told = [f"{part} {'not measured' if px is None else f'{px:.1f} px'}" for part, px in eyes]
    return ", ".join(told)
