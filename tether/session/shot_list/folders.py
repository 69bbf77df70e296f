"""Setups made of a folder's subfolders."""

from __future__ import annotations

import logging
import os
import re
from collections.abc import Collection
from pathlib import Path

from tether.frame.kinds import is_passed_over
from tether.model import Setup
from tether.plain import plain
from tether.session.shot_list.cells import why_no_title
from tether.session.shot_list.problems import shown
from tether.session.shot_list.spelling import folded

_log = logging.getLogger(__name__)


def from_folder(folder: Path, but: Collection[str] = ()) -> tuple[Setup, ...]:
    """Return a setup for each first-level subfolder, in natural order (2 before 10).

    Left out are those that the watch passes over (hidden, bins, thumbnails), links, which it does
    not follow, and names in `but`, which are cameras'. A name that no setup can have is left out,
    too, and so is a second one that differs in its spelling alone; the log says so. A folder that
    cannot be listed has none.
    """
    try:
        with os.scandir(folder) as entries:
            folders = [one.name for one in entries if one.is_dir(follow_symlinks=False)]
    except OSError:
        return ()
    names = [name for name in folders if name not in but and not is_passed_over(name)]
    setups: dict[str, Setup] = {}
    for name in sorted(names, key=_naturally):
        if why := why_no_title(name):
            _log.warning("the subfolder %s is no setup: its name %s", shown(name), why)
        elif (same := setups.get(folded(name))) is not None:
            _log.warning("the subfolder %s is the setup %s", shown(name), plain(same.name))
        else:
            setups[folded(name)] = Setup(name)
    return tuple(setups.values())


def _naturally(name: str) -> tuple[list[tuple[int, str]], str]:
    parts = re.split(r"([0-9]+)", folded(name))
    # Digits stand at every second place. Without leading zeros the longer number is the larger one.
    bare = [part.lstrip("0") if at % 2 else part for at, part in enumerate(parts)]
    return [(len(part) if at % 2 else 0, part) for at, part in enumerate(bare)], name
