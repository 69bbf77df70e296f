"""`tether show`: a dashboard on a session that runs or is over."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def show(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The session's folder.")],
) -> None:
    """Open a dashboard on a session that runs or is over."""
    from tether.session.schema import NAME

    if not folder.is_dir():
        raise typer.BadParameter(f"{folder} is no folder")
    if not (folder / NAME).exists():
        raise typer.BadParameter(
            f"no session was recorded in {folder}; `tether watch {folder}` begins one"
        )
    from tether.dashboard.run import run

    raise typer.Exit(run(folder, bell=True, notice=None))
