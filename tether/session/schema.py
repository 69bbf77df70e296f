"""The record's tables, its place in the folder, and how a connection to it is opened."""

from __future__ import annotations

import json
import os
import secrets
import sqlite3
from pathlib import Path

from tether.session import tries

NAME = "tether-record.sqlite"
LOCK_NAME = "tether-record.lock"
VERSION = 4

TABLES = """
CREATE TABLE IF NOT EXISTS frames (
    id INTEGER PRIMARY KEY,
    revision INTEGER NOT NULL,      -- grows with every change of any row
    path BLOB NOT NULL UNIQUE,      -- of the judged file, below the folder, as the system's bytes
    size INTEGER NOT NULL,
    mtime_ns INTEGER NOT NULL,
    digest BLOB,                    -- of all the file's bytes, since version 4
    arrived REAL NOT NULL,          -- seconds since 1970
    verdict TEXT NOT NULL,
    cause TEXT,
    edge_width_px REAL,
    edge_width_lo REAL,
    edge_width_hi REAL,
    limit_px REAL,
    name TEXT NOT NULL,             -- safe to print
    line TEXT NOT NULL,             -- the contract's line, whole
    evidence TEXT,                  -- what it was judged by, whole, as JSON
    setup INTEGER REFERENCES setups (id),   -- from here on since version 3
    camera TEXT,                    -- whose it is, where several are watched
    taken REAL,                     -- seconds since 1970 by the camera's own clock
    slate TEXT,                     -- the code it shows, if it is a slate
    relative_blur REAL,             -- its edge width over that of its reference
    came REAL,                      -- when it arrived first; `arrived` is of what stands there now
    device INTEGER,                 -- of the judged file, with its inode; since version 4
    inode INTEGER
);
CREATE TABLE IF NOT EXISTS raws (   -- raw files of the same exposures; since version 4
    path BLOB PRIMARY KEY,          -- as `frames.path`, as all that follows
    frame INTEGER NOT NULL REFERENCES frames (id),
    size INTEGER NOT NULL,          -- -1 where only the path is known
    mtime_ns INTEGER NOT NULL,
    device INTEGER NOT NULL,
    inode INTEGER NOT NULL
);
CREATE INDEX IF NOT EXISTS raws_of_frame ON raws (frame);
CREATE TABLE IF NOT EXISTS removed (      -- frames that are no more; since version 4
    frame INTEGER PRIMARY KEY,
    revision INTEGER NOT NULL,
    setup INTEGER
);
CREATE INDEX IF NOT EXISTS removed_by_revision ON removed (revision);
CREATE INDEX IF NOT EXISTS frames_by_revision ON frames (revision);
CREATE INDEX IF NOT EXISTS frames_by_time ON frames (came);
CREATE INDEX IF NOT EXISTS frames_by_setup ON frames (setup, arrived);
CREATE TABLE IF NOT EXISTS crops (
    frame INTEGER PRIMARY KEY REFERENCES frames (id),
    jpeg BLOB NOT NULL
);
CREATE TABLE IF NOT EXISTS unfinished (   -- judged, but the rest of the frame not yet looked at
    frame INTEGER PRIMARY KEY REFERENCES frames (id),
    told INTEGER NOT NULL           -- whether its line was printed, as it stands
);
CREATE TABLE IF NOT EXISTS passed_over (  -- there before the session began, not asked for
    path BLOB PRIMARY KEY,
    size INTEGER NOT NULL,
    mtime_ns INTEGER NOT NULL,
    device INTEGER,                 -- since version 4, with the inode
    inode INTEGER
);
CREATE TABLE IF NOT EXISTS fixed_areas (  -- where to look, laid over one frame; since version 2
    setup TEXT,                     -- its id in digits; NULL while there is none
    drawn INTEGER NOT NULL,         -- whether it was drawn, or is the settings'
    revision INTEGER NOT NULL,
    x INTEGER NOT NULL,             -- px of the unrotated frame
    y INTEGER NOT NULL,
    width INTEGER NOT NULL,
    height INTEGER NOT NULL,
    frame_width INTEGER NOT NULL,
    frame_height INTEGER NOT NULL,
    frame TEXT NOT NULL,            -- name, safe to print
    jpeg BLOB NOT NULL,             -- that frame, unrotated, grey, reduced
    camera TEXT                     -- as `frames.camera`; since version 3
);
DROP INDEX IF EXISTS fixed_area_of_setup;
CREATE UNIQUE INDEX IF NOT EXISTS fixed_area_of ON fixed_areas (
    ifnull(setup, ''), ifnull(camera, ''), drawn
);
CREATE TABLE IF NOT EXISTS fetched (      -- since version 2: what of a camera's card was dealt with
    id INTEGER PRIMARY KEY,
    camera TEXT NOT NULL,           -- model and serial number
    folder BLOB NOT NULL,           -- on the card, as all that follows up to the time
    name BLOB NOT NULL,
    size INTEGER NOT NULL,
    time INTEGER NOT NULL,          -- seconds since 1970 by the camera's clock
    path BLOB,                      -- of the file it became, below the folder; null: it stays there
    UNIQUE (camera, folder, name, size, time)
);
CREATE TABLE IF NOT EXISTS setups (       -- the shot list; from here on since version 3
    id INTEGER PRIMARY KEY,
    revision INTEGER NOT NULL,
    place REAL NOT NULL,            -- its order on the list
    name TEXT NOT NULL,
    folded TEXT NOT NULL UNIQUE,    -- the name, however it is spelt
    code TEXT NOT NULL,             -- what its slate shows; empty: the name
    folded_code TEXT,               -- the same; NULL where there is none
    needed INTEGER NOT NULL,        -- sharp frames
    preset TEXT,
    area TEXT,                      -- four numbers as JSON
    notes TEXT NOT NULL,
    origin TEXT NOT NULL            -- list, folder, slate, command or screen
);
CREATE INDEX IF NOT EXISTS setups_by_revision ON setups (revision);
CREATE INDEX IF NOT EXISTS setups_in_order ON setups (place, id);
CREATE UNIQUE INDEX IF NOT EXISTS setups_by_code ON setups (folded_code);
CREATE TABLE IF NOT EXISTS turns (        -- which setup frames belong to from a moment on
    id INTEGER PRIMARY KEY,
    at REAL NOT NULL,               -- seconds since 1970
    setup INTEGER REFERENCES setups (id),   -- NULL: none
    by TEXT NOT NULL                -- list, folder, slate, command or screen
);
CREATE INDEX IF NOT EXISTS turns_by_time ON turns (at, id);
CREATE INDEX IF NOT EXISTS turns_of_setup ON turns (setup);
CREATE TABLE IF NOT EXISTS reshoots (     -- setups that were left uncovered
    id INTEGER PRIMARY KEY,
    revision INTEGER NOT NULL,
    setup INTEGER NOT NULL REFERENCES setups (id),
    raised REAL NOT NULL,           -- seconds since 1970, as all times here
    on_it REAL,                     -- since when somebody is on it
    closed REAL                     -- since when it is covered
);
CREATE TABLE IF NOT EXISTS reference_frames (   -- what later frames are measured against
    setup INTEGER,                  -- as `frames.setup`
    camera TEXT,                    -- as `frames.camera`
    lens TEXT,
    f_number REAL,
    frame INTEGER NOT NULL REFERENCES frames (id),
    chosen INTEGER NOT NULL,        -- by somebody; else the sharpest so far
    revision INTEGER NOT NULL
);
CREATE UNIQUE INDEX IF NOT EXISTS reference_of ON reference_frames (
    ifnull(setup, 0), ifnull(camera, ''), ifnull(lens, ''), ifnull(f_number, 0), chosen
);
CREATE TABLE IF NOT EXISTS overrules (    -- the photographer's word against a verdict
    frame INTEGER PRIMARY KEY REFERENCES frames (id),
    revision INTEGER NOT NULL,
    verdict TEXT NOT NULL,
    reason TEXT NOT NULL,
    at REAL NOT NULL
);
CREATE TABLE IF NOT EXISTS tries (        -- kept as frames come and go; since version 4
    id INTEGER PRIMARY KEY,
    setup INTEGER NOT NULL,
    camera TEXT NOT NULL,           -- empty where there is only one
    untold INTEGER NOT NULL,        -- whether its frames do not tell the camera's clock
    begin REAL NOT NULL,            -- seconds since 1970
    end REAL NOT NULL,
    frames INTEGER NOT NULL,
    sharp INTEGER NOT NULL
);
CREATE INDEX IF NOT EXISTS tries_in_order ON tries (setup, camera, untold, begin);
CREATE INDEX IF NOT EXISTS frames_in_order ON frames (
    setup, ifnull(camera, ''), taken IS NULL, coalesce(taken, arrived)
);
CREATE TABLE IF NOT EXISTS counts (       -- of tries, and of those with a sharp frame
    setup INTEGER PRIMARY KEY,
    has INTEGER NOT NULL,
    tries INTEGER NOT NULL
);
CREATE TABLE IF NOT EXISTS state (key TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS revisions (last INTEGER NOT NULL);  -- one row; never goes back
INSERT INTO revisions SELECT 0 WHERE NOT EXISTS (SELECT 1 FROM revisions);
"""


class RecordError(Exception):
    """A record that cannot be read or written; the message says why and what to do."""


WAIT_S = 5.0
"""How long a command or a screen waits for somebody else's transaction, s."""


def connect(path: Path, *, write: bool, wait_s: float = WAIT_S) -> sqlite3.Connection:
    """Open the record at `path`; make its tables when writing, where it is new or older.

    Raises
    ------
    RecordError
        It is missing (when reading), damaged, newer than this program, or out of reach.
    """
    mode = "mode=rwc" if write else "mode=ro"
    if not write and _finished_and_locked_away(path):
        mode += "&immutable=1"
    # Path.as_uri refuses relative paths and names of undecodable bytes; quote them by hand.
    quoted = "".join(
        f"%{byte:02x}" if byte in b"?#% " or byte > 126 else chr(byte)
        for byte in bytes(path.absolute())
    )
    try:
        opened = sqlite3.connect(
            f"file:{quoted}?{mode}",
            uri=True,
            timeout=wait_s,
            isolation_level=None,
            check_same_thread=False,
        )
        try:
            found = opened.execute("PRAGMA user_version").fetchone()[0]
            if found > VERSION:
                raise RecordError(
                    f"{path} was written by a newer tether (record version {found}, this one "
                    f"knows {VERSION}): update tether to open it"
                )
            if write:
                opened.execute("PRAGMA synchronous = NORMAL")
                if found < VERSION:
                    opened.execute("PRAGMA journal_mode = WAL")
                    _make_tables(opened)
        except BaseException:
            opened.close()
            raise
    except sqlite3.Error as problem:
        raise RecordError(f"{path}: {problem}") from problem
    return opened


# What older records lack in a table that they do have.
_ADDED = (
    ("frames", "setup", "INTEGER REFERENCES setups (id)"),
    ("frames", "camera", "TEXT"),
    ("frames", "taken", "REAL"),
    ("frames", "slate", "TEXT"),
    ("frames", "relative_blur", "REAL"),
    ("frames", "came", "REAL"),
    ("fixed_areas", "camera", "TEXT"),
    ("frames", "device", "INTEGER"),
    ("frames", "inode", "INTEGER"),
    ("passed_over", "device", "INTEGER"),
    ("passed_over", "inode", "INTEGER"),
)

# Of each older record, once its tables are there: digests were of samples, and a frame had one raw.
_RAWS_OF_THEIR_OWN = """
INSERT OR IGNORE INTO raws SELECT raw, id, -1, 0, 0, 0 FROM frames WHERE raw IS NOT NULL;
UPDATE frames SET digest = NULL, came = ifnull(came, arrived);
DROP INDEX IF EXISTS frames_by_raw;
ALTER TABLE frames DROP COLUMN raw
"""


def _make_tables(opened: sqlite3.Connection) -> None:
    """Make what is not there, in one transaction: two programs may be at it at once."""
    opened.execute("BEGIN IMMEDIATE")
    try:
        for table, name, kind in _ADDED:
            there = {row[1] for row in opened.execute(f"PRAGMA table_info ({table})")}
            if there and name not in there:
                opened.execute(f"ALTER TABLE {table} ADD COLUMN {name} {kind}")
        for statement in _statements(TABLES):
            opened.execute(statement)
        if any(row[1] == "raw" for row in opened.execute("PRAGMA table_info (frames)")):
            for statement in _statements(_RAWS_OF_THEIR_OWN):
                opened.execute(statement)
        tries.count_by(opened, tries.told_burst_s(opened))
        opened.execute(
            "INSERT OR IGNORE INTO state VALUES ('record', ?)", (json.dumps(secrets.token_hex(8)),)
        )
        opened.execute(f"PRAGMA user_version = {VERSION}")
        opened.execute("COMMIT")
    except BaseException:
        opened.execute("ROLLBACK")
        raise


def _statements(script: str) -> list[str]:
    # `executescript` would end the transaction first.
    bare = "\n".join(line.partition("--")[0] for line in script.splitlines())
    return [one for one in bare.split(";") if one.strip()]


def _finished_and_locked_away(path: Path) -> bool:
    """Whether nobody can write here: reading needs a file beside it, which then cannot be made."""
    return not os.access(path.parent, os.W_OK) and not path.with_name(f"{NAME}-wal").exists()


OWN = ("tries", "record")
"""Keys of the table `state` that a record has from its beginning; `record` tells it from others."""


def inode(path: Path) -> tuple[int, int] | None:
    """Which file stands at `path` now, or None: an unmounted card takes its record along."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino
