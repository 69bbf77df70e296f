"""`tether check --against`: the reference that was asked for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from tether.reference import Reference


def reference_of(path: Path) -> Reference:
    """Read the reference.

    Raises
    ------
    typer.BadParameter
        It yields no picture; the message says why.
    """
    from tether import reference
    from tether.frame.file import Unreadable
    from tether.plain import plain

    try:
        return reference.read(path)
    except (Unreadable, MemoryError) as problem:
        why = str(problem) or "not enough memory to decode it"
        raise typer.BadParameter(f"--against {plain(str(path))}: {why}") from None
