"""What the session is after, as the watch knows it: where a frame belongs, and its settings.

Workers ask before each frame; the record is read again only when somebody has written to it.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tether.model import Setup
from tether.session.reader import PlanMark, Reader
from tether.session.roots import Roots
from tether.session.schema import RecordError
from tether.session.setups import Listed
from tether.session.shot_list.cells import NEXT
from tether.session.shot_list.spelling import folded
from tether.session.turns import Turns
from tether.settings import Settings, SettingsError
from tether.verdict.limit import Leeway

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a frame belongs: id and name of its setup, None while there is none, and how to judge.

    `by_folder`: it lies in that setup's own folder. `leeway` is how far the limit was
    fed.
    """

    id: int | None
    name: str | None
    settings: Settings
    by_folder: bool = False
    leeway: Leeway | None = None


class Plan:
    """The shot list and the turns, read from the record; any thread may ask.

    Parameters
    ----------
    folder
        The session's.
    settings
        The session's own.
    preset
        Returns the settings with another preset under them.
    roots
        The session's folders, where there are several.
    """

    def __init__(
        self,
        folder: Path,
        settings: Settings,
        preset: Callable[[str], Settings] | None = None,
        roots: Roots | None = None,
    ) -> None:
        roots = roots or Roots(folder)
        self.inside = roots.inside
        self._settings = settings
        self._preset = preset
        self._reader = Reader(folder)
        self._lock = threading.Lock()
        self._behind = True
        self._listed: dict[int, Listed] = {}
        self._by_name: dict[str, int] = {}
        self._made: dict[int, tuple[Setup, Settings]] = {}
        self._mark: PlanMark | None = None
        self._leeway: Leeway | None = None
        self.turns = Turns()

    def renew(self) -> None:
        """Take in what was written to the record; while it cannot be read all stays as it was."""
        with self._lock:
            try:
                if self._reader.changed() or self._behind:
                    self._behind = True
                    mark = self._reader.plan()
                    if mark != self._mark:
                        self._take(mark)
                        self._mark = mark
                    self._behind = False
            except RecordError as problem:
                _log.info("%s", problem)

    def of(self, path: Path, came: float) -> Placed:
        """Where a frame belongs that came first then (s since 1970).

        `path` is its file, whole or as the record names it.
        """
        self.renew()
        with self._lock:
            number = self._folder(self.inside(path))
            by_folder = number is not None
            if number is None:
                number = self.turns.at(came)
            listed = self._listed.get(number) if number is not None else None
            if listed is None:
                return self.nowhere
            settings = self._for(listed)
            return Placed(listed.id, listed.setup.name, settings, by_folder, self._leeway)

    @property
    def nowhere(self) -> Placed:
        """Where a frame belongs that is of no setup."""
        return Placed(None, None, self._settings, leeway=self._leeway)

    def settings(self, number: int | None) -> Settings:
        """What frames of the setup of this id are judged by."""
        with self._lock:
            listed = self._listed.get(number) if number is not None else None
            return self._settings if listed is None else self._for(listed)

    def names(self, text: str) -> bool:
        """Whether a setup of the list has this name or code, or it asks for the next one."""
        self.renew()
        with self._lock:
            return folded(text) == NEXT or folded(text) in self._by_name

    def close(self) -> None:
        """Let go of the record."""
        with self._lock:
            self._reader.close()

    def _take(self, now: PlanMark) -> None:
        """Take in what is new; all of it where something was taken off the list."""
        self._leeway = self._reader.leeway()
        if self._mark is None or self._mark.unlisted != now.unlisted:
            found, self.turns = self._reader.shot_list()
            self._listed.clear()
            self._by_name.clear()
        else:
            found = self._reader.setups_since(self._mark.setups)
            self.turns = self.turns.and_then(self._reader.turns_since(self._mark.turns))
        for one in found:
            before = self._listed.get(one.id)
            for name in _names(before) if before is not None else ():
                if self._by_name.get(name) == one.id:
                    del self._by_name[name]
        for one in found:
            self._listed[one.id] = one
            # A code comes before a name: each is one setup's alone.
            self._by_name.update(dict.fromkeys(_names(one), one.id))

    def _folder(self, inside: Path) -> int | None:
        """The setup that one of its folders is named as, the innermost first."""
        if not self._by_name:
            return None
        found = (self._by_name.get(folded(part)) for part in reversed(inside.parts[:-1]))
        return next((one for one in found if one is not None), None)

    def _for(self, listed: Listed) -> Settings:
        """Its settings, made once for what the list says of it now."""
        setup = listed.setup
        before = self._made.get(listed.id)
        if before is not None and (before[0].preset, before[0].area) == (setup.preset, setup.area):
            return before[1]
        settings = self._settings
        if setup.preset is not None and self._preset is not None:
            try:
                settings = self._preset(setup.preset)
            except SettingsError as problem:
                _log.warning("%s: its preset cannot be used: %s", setup.name, problem)
        if setup.area is not None:
            others = [one for one in settings.area.sources if one != "fixed area"]
            area = settings.area.model_copy(
                update={"fixed": list(setup.area), "sources": ["fixed area", *others]}
            )
            settings = settings.model_copy(update={"area": area})
        self._made[listed.id] = (setup, settings)
        return settings


def _names(listed: Listed) -> set[str]:
    """The name and the code of a setup, however they are spelt."""
    setup = listed.setup
    return {folded(setup.name)} | ({folded(setup.code)} if setup.code else set())
