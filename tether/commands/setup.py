"""`tether setup`: turn the running session to a setup; what a barcode gun types is a name, too."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer


def setup(
    words: Annotated[
        list[str],
        typer.Argument(metavar="NEXT|NAME", help="Name or code of a setup; NEXT: the one after."),
    ],
    folder: Annotated[
        Path | None,
        typer.Option(
            "--folder", metavar="FOLDER", help="The session's, where more than one is watched."
        ),
    ] = None,
) -> None:
    """Have frames from now on belong to a setup of the shot list.

    One that is not on the list is opened, and that is said.
    """
    from tether.plain import plain
    from tether.session import turns
    from tether.session.schema import RecordError
    from tether.session.setups import SetupError
    from tether.session.shot_list.cells import LONGEST_NAME, NEXT
    from tether.session.shot_list.spelling import folded

    name = " ".join(words)
    where = _session(folder)
    try:
        if folded(name) == NEXT:
            told, new = turns.turn_on(where, "command"), False
        else:
            turned = turns.turn_to(where, name, "command")
            told, new = turned.listed, turned.opened
    except (SetupError, RecordError) as problem:
        print(f"tether: {plain(name[:LONGEST_NAME])}: {problem}", file=sys.stderr)
        raise typer.Exit(2) from None
    more = ", which was not on the shot list" if new else ""
    print(f"{plain(told.setup.name)}{more}")


def _session(folder: Path | None) -> Path:
    from tether.session import sessions
    from tether.session.schema import NAME

    if folder is not None:
        if not (folder / NAME).exists():
            raise typer.BadParameter(f"no session was recorded in {folder}", param_hint="--folder")
        return folder
    found = sessions.watched()
    if len(found) == 1:
        return found[0]
    if not found:
        raise typer.BadParameter(
            "no folder is watched now; --folder names a session that is to go on"
        )
    named = ", ".join(str(one) for one in found)
    raise typer.BadParameter(f"more than one folder is watched; say which by --folder: {named}")
