"""What the screen knows of the shot list, for the parts that show or heed it."""

from __future__ import annotations

from tether.plain import plain
from tether.session.coverage import Coverage
from tether.session.reader import Progress, Row
from tether.session.reshoots import Reshoot
from tether.session.shot_list.spelling import folded
from tether.verdict.limit import Leeway


class Shots:
    """Setups by their id, the one of now, the reshoots, and how far the limit was fed."""

    def __init__(self) -> None:
        self.progress = Progress()
        self.leeway: Leeway | None = None
        self.covered = 0
        self._places: dict[int, int] = {}
        self._reshoots: dict[int, Reshoot] = {}

    def take(self, progress: Progress, leeway: Leeway | None) -> None:
        """Take in how the shot list stands."""
        self.progress, self.leeway = progress, leeway
        self._places = {one.id: place for place, one in enumerate(progress.setups)}
        self._reshoots = {one.coverage.id: one for one in progress.reshoots}
        self.covered = sum(one.covered for one in progress.setups)

    @property
    def current(self) -> Coverage | None:
        """The setup of now."""
        return self.of(self.progress.current)

    @property
    def following(self) -> Coverage | None:
        """The one that a turn to the next would turn to."""
        at = self.place(self.progress.current)
        place = 0 if at is None else at + 1
        return self.progress.setups[place] if place < len(self.progress.setups) else None

    def of(self, number: int | None) -> Coverage | None:
        """The setup with this id."""
        place = self.place(number)
        return None if place is None else self.progress.setups[place]

    def place(self, number: int | None) -> int | None:
        """Where it stands on the list, from 0."""
        return None if number is None else self._places.get(number)

    def name(self, number: int | None) -> str:
        """Its name, safe to print; empty where there is none."""
        one = self.of(number)
        return plain(one.setup.name) if one is not None else ""

    def opened_by(self, slate: Row) -> str:
        """Name of the setup that a slate turned to; empty where its code was not used."""
        one, code = self.of(slate.setup), folded(slate.slate or "")
        if one is None or code not in {folded(one.setup.name), folded(one.setup.code)}:
            return ""
        return plain(one.setup.name)

    def reshoot(self, number: int) -> Reshoot | None:
        """The open reshoot of a setup."""
        return self._reshoots.get(number)

    def in_danger(self, number: int | None) -> bool:
        """Whether a setup lacks sharp frames; where there is none, every frame counts."""
        one = self.of(number)
        return one is None or not one.covered
