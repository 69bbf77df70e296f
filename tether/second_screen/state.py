"""The whole state of a session as a screen shows it, read from the record alone."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from tether.plain import plain
from tether.second_screen.newest import Newest
from tether.session import schema
from tether.session.reader import Progress, Reader, Row
from tether.session.record import WatchState
from tether.session.schema import RecordError

# As many as a thumb will scroll through; the setup of now is always among them.
MOST_SETUPS = 200
# A crop of ours is some tens of kilobytes; anything far beyond is a damaged record.
LARGEST_PICTURE = 1_000_000

_FOLDERS = re.compile(r"(?<![\w.:/])~?/(?:[^\s/:;,'\"]+/)+")


@dataclass(frozen=True, slots=True)
class State:
    """What screens are told, as JSON can hold it, and what goes with it.

    `picture` is the JPEG of the newest frame's focus area under the name that `told` gives, empty
    where there is none or none may be shown; `waiting` and `taken` are the ids of open reshoots,
    by whether somebody is on it.
    """

    told: dict[str, Any]
    picture: tuple[str, bytes] = ("", b"")
    waiting: frozenset[int] = frozenset()
    taken: frozenset[int] = frozenset()


class States:
    """Reads `folder`'s record, in one thread; `pictures` is whether they may be shown."""

    def __init__(self, folder: Path, *, pictures: bool) -> None:
        self._folder, self._pictures = folder, pictures
        self._reader = Reader(folder)
        self._newest = Newest(self._reader)
        self._watched: bool | None = None
        self._inode: tuple[int, int] | None = None
        self._behind = True
        self._words = ""
        self._last = State({})

    def watched(self) -> None:
        """Look whether a watch runs, which takes longer than looking whether anybody wrote."""
        running = self._reader.watched()
        self._behind |= running != self._watched
        self._watched = running

    def changed(self) -> State | None:
        """The state, if it is another one than before."""
        words = ""
        try:
            inode = schema.inode(self._reader.path)
            if not self._reader.changed() and not self._behind and inode == self._inode:
                return None
            self._last = self._read(anew=inode != self._inode)
            self._inode, self._behind = inode, False
        except RecordError:
            words = self._trouble()
        except (ValueError, TypeError, KeyError):  # somebody else's bytes in our columns
            words = "the record cannot be understood"
        if words:
            # Another record may take its place, and even its inode.
            self._inode, self._behind = None, True
            if words == self._words:
                return None
            told = {**_NOTHING, **self._last.told, "lines": [words], "watched": self._watched}
            self._last = State(told, *_rest(self._last))
        self._words = words
        return self._last

    def close(self) -> None:
        """Let go of the record."""
        self._reader.close()

    def _read(self, *, anew: bool) -> State:
        state, row = self._reader.state(), self._newest.row(anew=anew)
        progress = self._reader.progress()
        picture = ("", b"")
        if row is not None and self._pictures:
            jpeg = self._reader.crop(row.id)
            if jpeg.startswith(b"\xff\xd8") and len(jpeg) <= LARGEST_PICTURE:
                picture = (f"{row.id}-{row.revision}", jpeg)
        told = {
            "watched": self._watched,
            "judging": state.waiting,
            "lines": self._lines(state),
            "frame": self._frame(row, progress, picture[0]) if row else None,
            **_shot_list(progress),
        }
        on_it = {one.id for one in progress.reshoots if one.on_it is not None}
        open_now = {one.id for one in progress.reshoots}
        return State(told, picture, frozenset(open_now - on_it), frozenset(on_it))

    def _frame(self, row: Row, progress: Progress, picture: str) -> dict[str, Any]:
        facts = self._reader.frame(row.id) or {}
        lost = self._reader.evidence(row.id).lost
        # As the dashboard does: where the area is lost, that comes before advice.
        first = [told for told in (facts.get("error"), lost) if told]
        advice = [*first, *facts.get("advice", [])]
        setup = next((one.setup.name for one in progress.setups if one.id == row.setup), None)
        overruled = self._reader.overrule(row.id)
        return {
            "id": row.id,
            "name": row.name,
            "verdict": row.stands,
            "cause": None if overruled else row.cause,
            "edge_width_px": row.edge_width_px,
            "limit_px": row.limit_px,
            "arrived": _clock(row.arrived),
            "judged": facts.get("judged"),
            "camera": row.camera,
            "setup": setup,
            "advice": [] if overruled else [self._pathless(str(one)) for one in advice],
            "overruled": f"measured {row.verdict}, overruled: {overruled[1]}" if overruled else "",
            "picture": picture,
        }

    def _lines(self, state: WatchState) -> list[str]:
        if not self._watched:
            return ["no watch is running: nothing new is judged"]
        away = "" if state.there else f"the folder is away: {state.line}".removesuffix(": ")
        camera = "" if state.camera_there else state.camera
        alerts = f"alerts fail: {state.alerts}" if state.alerts else ""
        return [self._pathless(told) for told in (away, camera, alerts) if told]

    def _trouble(self) -> str:
        if not self._folder.is_dir():
            return "the folder is away"
        if schema.inode(self._reader.path) is None:
            return "no record yet: it begins with the watch"
        return "the record cannot be read just now"

    def _pathless(self, text: str) -> str:
        """The text without where things lie on this computer, which is nobody else's business."""
        for own in {str(self._folder), str(self._folder.absolute())} - {"", "/", "."}:
            text = text.replace(f"{own}/", "").replace(own, "the folder")
        return _FOLDERS.sub("", plain(text))


_NOTHING: dict[str, Any] = {
    "watched": None,
    "judging": 0,
    "lines": [],
    "frame": None,
    "setups": [],
    "more": 0,
    "reshoots": [],
}


def _rest(state: State) -> tuple[tuple[str, bytes], frozenset[int], frozenset[int]]:
    return state.picture, state.waiting, state.taken


def _shot_list(progress: Progress) -> dict[str, Any]:
    at = next((n for n, one in enumerate(progress.setups) if one.id == progress.current), 0)
    first = max(0, min(at - MOST_SETUPS // 2, len(progress.setups) - MOST_SETUPS))
    shown = progress.setups[first : first + MOST_SETUPS]
    return {
        "setups": [
            {
                "name": one.setup.name,
                "notes": one.setup.notes,
                "has": one.has,
                "needs": one.setup.needed,
                "covered": one.covered,
                "current": one.id == progress.current,
            }
            for one in shown
        ],
        "more": len(progress.setups) - len(shown),
        "reshoots": [
            {
                "id": one.id,
                "setup": one.coverage.setup.name,
                "has": one.coverage.has,
                "needs": one.coverage.setup.needed,
                "raised": _clock(one.raised),
                "on_it": "" if one.on_it is None else _clock(one.on_it),
            }
            for one in progress.reshoots[:MOST_SETUPS]
        ],
    }


def _clock(seconds: float) -> str:
    return datetime.fromtimestamp(seconds).strftime("%H:%M:%S")
