"""The session record, as the watch writes it: one transaction a frame."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from tether import contract
from tether.frame.file import FileIdentity
from tether.model import Judgement
from tether.plain import plain
from tether.session import tries
from tether.session.frame_evidence import FrameEvidence
from tether.session.schema import OWN
from tether.session.tries import BURST_S
from tether.session.writing import Writing, next_revision


@dataclass(frozen=True, slots=True)
class Entry:
    """A judged frame as it goes into the record; paths as it names them (`roots`).

    `digest` is that of the bytes of `file` that were judged, None where none were. `raws` belong to
    the exposure. `unfinished`: it has its verdict, and the rest of the frame is still to be looked
    at. `setup` is the id of the one it belongs to. `came` is when the frame arrived first, in s
    since 1970; None where that is now. `row` is its id where it is recorded already.
    """

    judgement: Judgement
    path: Path
    file: FileIdentity
    digest: bytes | None
    raws: tuple[tuple[Path, FileIdentity], ...] = ()
    unfinished: bool = False
    setup: int | None = None
    came: float | None = None
    row: int | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """Where a recorded frame lies now, and under which name; `row` is its id."""

    row: int
    path: Path
    name: str
    file: FileIdentity
    raws: tuple[tuple[Path, FileIdentity], ...] = ()


@dataclass(frozen=True, slots=True)
class Recorded:
    """A frame as an earlier watch left it: its place, and the line that was told of it.

    `path` is None where another file has taken its place. `unfinished`: the rest of it was not
    looked at; `told`: its line was printed as it stands.
    """

    row: int
    path: Path | None
    file: FileIdentity
    digest: bytes | None
    raws: tuple[tuple[Path, FileIdentity], ...]
    came: float
    line: dict[str, Any]
    setup: int | None
    unfinished: bool
    told: bool


@dataclass(frozen=True, slots=True)
class WatchState:
    """How the watch is doing, for whoever looks: `waiting` frames are not judged yet.

    `camera` tells how the camera is doing, where one is asked for; else it is empty. `before` says
    what would make the next frame soft: how sure that is ("wrong" or "look"), and what to change.
    `smallest_px` and `largest_px` are the sides that a judged area may have. `alerts` says which
    alert channels fail and why, or is empty. Frames within `burst_s` of each other are one try.
    `drift` says how what is shot now drifts towards soft and what to look at, or is empty.
    """

    there: bool = True
    line: str = ""
    waiting: int = 0
    smallest_px: int = 128
    largest_px: int = 400
    camera_there: bool = True
    camera: str = ""
    before: tuple[tuple[str, str], ...] = ()
    alerts: str = ""
    drift: str = ""
    burst_s: float = BURST_S


class Record(Writing):
    """The frames' writing end."""

    def add(self, entry: Entry) -> int:
        """Store a frame with its evidence and crop, in its row if it has one; returns its id.

        Whatever other frame the record names by that path has lost its place.
        """
        judgement = entry.judgement
        widest = judgement.measurement.widest if judgement.measurement else None
        arrived = judgement.arrived.timestamp()
        evidence = FrameEvidence.of(judgement)
        values = {
            "path": os.fsencode(entry.path),
            "size": entry.file.size,
            "mtime_ns": entry.file.mtime_ns,
            "device": entry.file.device,
            "inode": entry.file.inode,
            "digest": entry.digest,
            "arrived": arrived,
            "verdict": judgement.verdict.value,
            "cause": judgement.cause.value if judgement.cause else None,
            "edge_width_px": widest.px if widest else None,
            "edge_width_lo": widest.lo if widest else None,
            "edge_width_hi": widest.hi if widest else None,
            "limit_px": judgement.limit_px,
            "name": plain(judgement.frame),
            "line": contract.line(judgement),
            "evidence": evidence.to_json() if evidence else None,
            "setup": entry.setup,
            "camera": judgement.camera,
            "taken": judgement.taken_s,
            "slate": judgement.slate or None,
            "relative_blur": judgement.relative_blur,
            "came": arrived if entry.came is None else entry.came,
        }
        with self.transaction() as opened:
            before = tries.position(opened, entry.row)
            _clear(opened, entry.path, entry.row)
            values["revision"] = next_revision(opened)
            changes = ", ".join(f"{name} = :{name}" for name in values)
            update = f"UPDATE frames SET {changes} WHERE id = :row RETURNING id"
            found = opened.execute(update, {**values, "row": entry.row}).fetchone()
            if found is None:
                names, marks = ", ".join(values), ", ".join(f":{name}" for name in values)
                insert = f"INSERT INTO frames ({names}) VALUES ({marks}) RETURNING id"
                found = opened.execute(insert, values).fetchone()
            row = int(found[0])
            _put_raws(opened, row, entry.raws)
            opened.execute("DELETE FROM crops WHERE frame = ?", (row,))
            if judgement.crop:
                opened.execute("INSERT INTO crops VALUES (?, ?)", (row, judgement.crop))
            opened.execute("DELETE FROM unfinished WHERE frame = ?", (row,))
            if entry.unfinished:
                opened.execute("INSERT INTO unfinished VALUES (?, 0)", (row,))
            tries.moved(opened, before, tries.position(opened, row))
        return row

    def renew(self, place: Place) -> None:
        """Have a recorded frame lie elsewhere, be called otherwise, or have other raws."""
        with self.transaction() as opened:
            found = opened.execute("SELECT line FROM frames WHERE id = ?", (place.row,)).fetchone()
            if found is None:
                return
            _clear(opened, place.path, place.row)
            told = json.loads(found[0]) | {
                "file": str(self.folder / place.path),
                "frame": place.name,
            }
            file = place.file
            opened.execute(
                "UPDATE frames SET path = ?, name = ?, line = ?, size = ?, mtime_ns = ?, "
                "device = ?, inode = ?, revision = ? WHERE id = ?",
                (
                    *(os.fsencode(place.path), plain(place.name), json.dumps(told)),
                    *(file.size, file.mtime_ns, file.device, file.inode),
                    *(next_revision(opened), place.row),
                ),
            )
            _put_raws(opened, place.row, place.raws)

    def remove(self, row: int) -> None:
        """Take a frame out of the record: it is a frame no more, and readers hear of it."""
        with self.transaction() as opened:
            before = tries.position(opened, row)
            for table in ("crops", "unfinished", "reference_frames", "overrules", "raws"):
                opened.execute(f"DELETE FROM {table} WHERE frame = ?", (row,))
            opened.execute(
                "INSERT OR REPLACE INTO removed SELECT id, ?, setup FROM frames WHERE id = ?",
                (next_revision(opened), row),
            )
            opened.execute("DELETE FROM frames WHERE id = ?", (row,))
            tries.moved(opened, before, None)

    def told(self, row: int) -> None:
        """Note that the line of an unfinished frame was told as it stands."""
        with self.transaction() as opened:
            opened.execute("UPDATE unfinished SET told = 1 WHERE frame = ?", (row,))

    def finish(self, row: int) -> None:
        """Leave a frame as it stands: the rest of it will not be looked at."""
        with self.transaction() as opened:
            opened.execute("DELETE FROM unfinished WHERE frame = ?", (row,))

    def frames(self) -> list[Recorded]:
        """Every frame, the oldest first."""
        with self.transaction() as opened:
            raws: dict[int, list[tuple[Path, FileIdentity]]] = {}
            for path, row, *file in opened.execute(
                "SELECT path, frame, device, inode, size, mtime_ns FROM raws"
            ):
                raws.setdefault(row, []).append((Path(os.fsdecode(path)), FileIdentity(*file)))
            rows = opened.execute(
                "SELECT id, path, ifnull(device, 0), ifnull(inode, 0), size, mtime_ns, digest, "
                "ifnull(came, arrived), line, setup, unfinished.frame IS NOT NULL, "
                "ifnull(unfinished.told, 0) FROM frames "
                "LEFT JOIN unfinished ON unfinished.frame = frames.id ORDER BY arrived, id"
            ).fetchall()
        return [
            Recorded(
                row[0],
                None if _PLACE_LOST in row[1] else Path(os.fsdecode(row[1])),
                FileIdentity(*row[2:6]),
                row[6],
                tuple(raws.get(row[0], ())),
                row[7],
                json.loads(row[8]),
                row[9],
                bool(row[10]),
                bool(row[11]),
            )
            for row in rows
        ]

    def pass_over(self, files: Iterable[tuple[Path, FileIdentity]]) -> None:
        """Note files that were there before the session and are not to be judged."""
        with self.transaction() as opened:
            _pass_over(opened, files)

    def passed_over(self) -> list[tuple[Path, FileIdentity]]:
        """Files that were there before the session, where they lie now."""
        with self.transaction() as opened:
            rows = opened.execute(
                "SELECT path, ifnull(device, 0), ifnull(inode, 0), size, mtime_ns FROM passed_over"
            ).fetchall()
        # Those whose place another has come last.
        rows.sort(key=lambda row: _PLACE_LOST in row[0])
        return [
            (Path(os.fsdecode(path.partition(_PLACE_LOST)[0])), FileIdentity(*file))
            for path, *file in rows
        ]

    def move_passed_over(self, moves: Iterable[tuple[Path, Path, FileIdentity]]) -> None:
        """Follow files that were passed over to where they lie now."""
        moved = list(moves)
        with self.transaction() as opened:
            # By what they are, too: another that was passed over may have taken the place.
            opened.executemany(
                "DELETE FROM passed_over WHERE path = ? AND size = ? AND mtime_ns = ? "
                "AND ifnull(inode, 0) IN (0, ?)",
                [(os.fsencode(old), one.size, one.mtime_ns, one.inode) for old, _, one in moved],
            )
            for _, new, one in moved:
                # Another that was there may turn up elsewhere: it stays known.
                opened.execute(
                    "UPDATE OR REPLACE passed_over SET path = CAST(path || ? || inode AS BLOB) "
                    "WHERE path = ? AND (size, mtime_ns, ifnull(inode, 0)) != (?, ?, ?)",
                    (_PLACE_LOST, os.fsencode(new), one.size, one.mtime_ns, one.inode),
                )
                _pass_over(opened, [(new, one)])

    def take_back(self) -> None:
        """Forget which files were passed over: they are to be judged after all."""
        with self.transaction() as opened:
            opened.execute("DELETE FROM passed_over")

    def begun(self) -> bool:
        """Whether a watch has filled this record before."""
        with self.transaction() as opened:
            found = opened.execute("SELECT key FROM state").fetchall()
            return any(row[0] not in (*OWN, "starts") for row in found)

    def name(self) -> str:
        """What tells this record from any other, made anew in its place."""
        with self.transaction() as opened:
            found = opened.execute("SELECT value FROM state WHERE key = 'record'").fetchone()
            return str(found[0]) if found else ""

    def tell(self, state: WatchState) -> None:
        """Store how the watch is doing."""
        with self.transaction() as opened:
            opened.execute(
                "INSERT OR REPLACE INTO state VALUES ('watch', ?)", (json.dumps(asdict(state)),)
            )


# Ends the path of a frame whose place another file has taken; no path of a file holds it.
_PLACE_LOST = b"\0"


def _pass_over(opened: sqlite3.Connection, files: Iterable[tuple[Path, FileIdentity]]) -> None:
    opened.executemany(
        "INSERT OR REPLACE INTO passed_over (path, size, mtime_ns, device, inode) "
        "VALUES (?, ?, ?, ?, ?)",
        [(os.fsencode(path), one.size, one.mtime_ns, one.device, one.inode) for path, one in files],
    )


def _clear(opened: sqlite3.Connection, path: Path, row: int | None) -> None:
    """Have no other frame be named by a path."""
    encoded = os.fsencode(path)
    opened.execute("DELETE FROM raws WHERE path = ?", (encoded,))
    opened.execute(
        "UPDATE frames SET path = CAST(path || ? || id AS BLOB) WHERE path = ? AND id IS NOT ?",
        (_PLACE_LOST, encoded, row),
    )


def _put_raws(
    opened: sqlite3.Connection, row: int, raws: Iterable[tuple[Path, FileIdentity]]
) -> None:
    opened.execute("DELETE FROM raws WHERE frame = ?", (row,))
    for path, file in raws:
        _clear(opened, path, row)
        opened.execute(
            "INSERT INTO raws (path, frame, size, mtime_ns, device, inode) "
            "VALUES (?, ?, ?, ?, ?, ?)",
            (os.fsencode(path), row, file.size, file.mtime_ns, file.device, file.inode),
        )
