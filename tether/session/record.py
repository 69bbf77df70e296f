"""The session record, as the watch writes it: one transaction a frame."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from tether import contract
from tether.model import Judgement
from tether.plain import plain
from tether.session.coverage import BURST_S
from tether.session.frame_evidence import FrameEvidence
from tether.session.writing import Writing, next_revision


@dataclass(frozen=True, slots=True)
class Stamp:
    """What tells a saved file from the same file saved anew."""

    size: int
    mtime_ns: int
    digest: bytes | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """A judged frame as it goes into the record; paths as it names them (`roots`).

    `unfinished`: it has its verdict, and the rest of the frame is still to be looked at. `setup`
    is the id of the one it belongs to.
    """

    judgement: Judgement
    path: Path
    stamp: Stamp
    raw: Path | None = None
    unfinished: bool = False
    setup: int | None = None


@dataclass(frozen=True, slots=True)
class Left:
    """A frame that an earlier watch left unfinished: its line as it stands, and if it was told."""

    path: Path
    stamp: Stamp
    line: dict[str, Any]
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

    def add(self, entry: Entry) -> None:
        """Store a frame with its evidence and crop; a frame judged before is replaced."""
        judgement = entry.judgement
        widest = judgement.measurement.widest if judgement.measurement else None
        evidence = FrameEvidence.of(judgement)
        values = {
            "path": os.fsencode(entry.path),
            "raw": os.fsencode(entry.raw) if entry.raw else None,
            "size": entry.stamp.size,
            "mtime_ns": entry.stamp.mtime_ns,
            "digest": entry.stamp.digest,
            "arrived": judgement.arrived.timestamp(),
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
            "came": judgement.arrived.timestamp(),
        }
        names = ", ".join(values)
        marks = ", ".join(f":{name}" for name in values)
        renewed = ", ".join(f"{name} = excluded.{name}" for name in values if name not in _STAYS)
        with self._transaction() as opened:
            # Known as raw first, and now its JPEG is there: the same frame under another file.
            if entry.raw is not None:
                opened.execute(
                    "UPDATE OR IGNORE frames SET path = ? WHERE path = ?",
                    (values["path"], values["raw"]),
                )
            row = opened.execute(
                f"INSERT INTO frames (revision, {names}) VALUES (:revision, {marks}) ON CONFLICT "
                f"(path) DO UPDATE SET revision = excluded.revision, {renewed} RETURNING id",
                {**values, "revision": next_revision(opened)},
            ).fetchone()
            opened.execute("DELETE FROM crops WHERE frame = ?", row)
            if judgement.crop:
                opened.execute("INSERT INTO crops VALUES (?, ?)", (*row, judgement.crop))
            opened.execute("DELETE FROM unfinished WHERE frame = ?", row)
            if entry.unfinished:
                opened.execute("INSERT INTO unfinished VALUES (?, 0)", row)

    def unfinished(self) -> list[Left]:
        """Frames whose rest was not looked at, the newest first."""
        with self._transaction() as opened:
            rows = opened.execute(
                "SELECT path, size, mtime_ns, digest, line, told FROM unfinished "
                "JOIN frames ON frames.id = unfinished.frame ORDER BY arrived DESC"
            ).fetchall()
        return [
            Left(Path(os.fsdecode(row[0])), Stamp(*row[1:4]), json.loads(row[4]), bool(row[5]))
            for row in rows
        ]

    def told(self, path: Path) -> None:
        """Note that the line of an unfinished frame was told as it stands."""
        with self._transaction() as opened:
            opened.execute(f"UPDATE unfinished SET told = 1 WHERE frame = {_BY_PATH}", _key(path))

    def finish(self, path: Path) -> None:
        """Leave a frame as it stands: the rest of it will not be looked at."""
        with self._transaction() as opened:
            opened.execute(f"DELETE FROM unfinished WHERE frame = {_BY_PATH}", _key(path))

    def attach_raw(self, path: Path, raw: Path) -> bool:
        """Note the raw file of a frame judged from `path`; False if no such frame is recorded."""
        with self._transaction() as opened:
            done = opened.execute(
                "UPDATE frames SET raw = ?, revision = ? WHERE path = ?",
                (os.fsencode(raw), next_revision(opened), os.fsencode(path)),
            )
            return done.rowcount > 0

    def rename(self, old: Path, new: Path, name: str) -> None:
        """Follow a judged file to its new name; whatever was known under that name goes."""
        with self._transaction() as opened:
            row = opened.execute("SELECT id, line FROM frames WHERE path = ?", _key(old)).fetchone()
            if row is None:
                return
            told = {**json.loads(row[1]), "file": str(self.folder / new), "frame": name}
            for table in ("crops", "unfinished", "reference_frames"):
                opened.execute(f"DELETE FROM {table} WHERE frame = {_BY_PATH}", _key(new))
            opened.execute("DELETE FROM frames WHERE path = ?", _key(new))
            opened.execute(
                "UPDATE frames SET path = ?, name = ?, line = ?, revision = ? WHERE id = ?",
                (os.fsencode(new), plain(name), json.dumps(told), next_revision(opened), row[0]),
            )

    def pass_over(self, files: Iterable[tuple[Path, Stamp]]) -> None:
        """Note files that were there before the session and are not to be judged."""
        with self._transaction() as opened:
            opened.executemany(
                "INSERT OR REPLACE INTO passed_over VALUES (?, ?, ?)",
                [(os.fsencode(path), stamp.size, stamp.mtime_ns) for path, stamp in files],
            )

    def take_back(self) -> None:
        """Forget which files were passed over: they are to be judged after all."""
        with self._transaction() as opened:
            opened.execute("DELETE FROM passed_over")

    def known(self) -> dict[Path, Stamp]:
        """Every file that is judged, belongs to a judged frame, or was passed over."""
        with self._transaction() as opened:
            rows = opened.execute(
                "SELECT path, size, mtime_ns, NULL FROM passed_over UNION ALL "
                "SELECT path, size, mtime_ns, digest FROM frames"
            ).fetchall()
        return {Path(os.fsdecode(row[0])): Stamp(*row[1:]) for row in rows}

    def came(self) -> dict[Path, float]:
        """When each frame arrived first, s since 1970, by its file as the record names it."""
        with self._transaction() as opened:
            rows = opened.execute("SELECT path, ifnull(came, arrived) FROM frames").fetchall()
        return {Path(os.fsdecode(path)): came for path, came in rows}

    def raws(self) -> dict[Path, Path]:
        """The raw file of each frame that has one, by the frame's judged file."""
        with self._transaction() as opened:
            rows = opened.execute("SELECT path, raw FROM frames WHERE raw IS NOT NULL").fetchall()
        return {Path(os.fsdecode(path)): Path(os.fsdecode(raw)) for path, raw in rows}

    def begun(self) -> bool:
        """Whether a watch has filled this record before."""
        with self._transaction() as opened:
            return opened.execute("SELECT 1 FROM state LIMIT 1").fetchone() is not None

    def tell(self, state: WatchState) -> None:
        """Store how the watch is doing."""
        with self._transaction() as opened:
            opened.execute(
                "INSERT OR REPLACE INTO state VALUES ('watch', ?)", (json.dumps(asdict(state)),)
            )


_STAYS = {"path", "came"}
_BY_PATH = "(SELECT id FROM frames WHERE path = ?)"


def _key(path: Path) -> tuple[bytes]:
    return (os.fsencode(path),)
