"""What somebody is told of a setup that was left without the sharp frames it needs."""

from __future__ import annotations

import json
from dataclasses import dataclass

from tether.plain import plain
from tether.session.coverage import Coverage


@dataclass(frozen=True, slots=True)
class Reshoot:
    """One alert of its own: no frame's takes its place. `tries` were made to send it."""

    coverage: Coverage
    tries: int = 0
    more: int = 0
    picture: bytes = b""
    kind: str = "reshoot"

    @property
    def title(self) -> str:
        """One line: which setup."""
        return f"reshoot {plain(self.coverage.setup.name)}"

    @property
    def body(self) -> str:
        """What it has, and what it needs."""
        one = self.coverage
        frames = "sharp frame" if one.setup.needed == 1 else "sharp frames"
        text = f"{one.has} of {one.setup.needed} {frames}"
        return f"{text}\n{plain(one.setup.notes)}" if one.setup.notes else text

    @property
    def line(self) -> str:
        """The same as JSON: an object that says `reshoot` and names no frame."""
        one = self.coverage
        told = {"setup": one.setup.name, "has": one.has, "needs": one.setup.needed}
        return json.dumps({"reshoot": told})
