"""Lets `--camera` stand alone, for whichever camera is there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from typer.core import TyperCommand

from tether.arrivals.camera.messages import ANY

_OPTION = "--camera"


def _is_no_camera(word: str) -> bool:
    """Whether what follows is the next option, or the folder to watch."""
    return word.startswith("-") or Path(word).is_dir()


class CameraCommand(TyperCommand):
    """A command whose `--camera` may have a value or none."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the command line; an option that stands alone is given what it means."""
        given: list[str] = []
        for at, word in enumerate(args):
            given.append(word)
            if word == "--":
                given += args[at + 1 :]
                break
            if word == _OPTION and (at + 1 == len(args) or _is_no_camera(args[at + 1])):
                given.append(ANY)
        return super().parse_args(ctx, given)
