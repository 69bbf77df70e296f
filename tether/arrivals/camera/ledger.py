"""What of a camera's card has been dealt with: kept where it outlives every crash."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from tether.arrivals.camera.messages import OnCard


@dataclass(frozen=True, slots=True)
class Dealt:
    """A file on a camera's card and the one it became; None where it stays on the card alone."""

    camera: str
    on_card: OnCard
    file: Path | None


class LedgerError(Exception):
    """It cannot be read or written just now; the message says why."""


class Ledger(Protocol):
    """Raises `LedgerError` from every method; paths lie below the session's folder."""

    def dealt(self) -> list[Dealt]:
        """Return all that is noted, in the order in which it was."""

    def note(self, dealt: Iterable[Dealt]) -> None:
        """Note files at once; what was noted of one of them before is replaced."""

    def began(self) -> float:
        """Return when it was first asked this, in s since 1970: when the session began."""

    def close(self) -> None:
        """Let go of it."""
