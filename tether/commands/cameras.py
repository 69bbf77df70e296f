"""The cameras that a command line asks for: which they are, and what they are called."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import typer

from tether.arrivals.camera import naming
from tether.arrivals.camera.messages import ANY, NETWORK
from tether.frame.kinds import is_passed_over
from tether.plain import plain
from tether.session.shot_list.spelling import folded

_LONGEST = 60


@dataclass(frozen=True, slots=True)
class Tethered:
    """A camera: a model, a port, a serial number or an address, and its name.

    Its frames go into the folder of that name inside the session's; without one, into that itself.
    """

    which: str
    name: str = ""

    @property
    def asked(self) -> str:
        """As `--camera` takes it."""
        return f"{self.name}={self.which}" if self.name else self.which


def cameras(asked: Sequence[str], folder: Path) -> tuple[Tethered, ...]:
    """Return the cameras of `[NAME=]WHICH`; one alone needs no name, and of several each has one.

    Raises
    ------
    typer.BadParameter
        A name that cannot be a folder's, a camera or a name that stands there twice, or something
        else than a folder where a camera's frames are to go.
    """
    told = [_read(one) for one in asked]
    if len(told) > 1:
        told = [one if one.name else Tethered(one.which, _made(one.which)) for one in told]
    for at, one in enumerate(told):
        for before in told[:at]:
            if one.which == before.which:
                raise typer.BadParameter(
                    f"--camera {plain(one.which)} stands there twice; name each by its own model, "
                    "port, serial number or address"
                )
            if folded(one.name) == folded(before.name):
                raise typer.BadParameter(
                    f"two cameras are called {plain(one.name)}; give each its own name: "
                    f"--camera NAME={plain(one.which)}"
                )
        _check_place(one, folder)
    return tuple(told)


def _read(asked: str) -> Tethered:
    name, named, which = asked.partition("=")
    if not named:
        return Tethered(asked)
    name = name.strip()
    fits = name and name == naming.safe(name) == plain(name) and len(name) <= _LONGEST
    if not fits or is_passed_over(name):
        raise typer.BadParameter(
            f"'{plain(name)}' is no name for a camera's folder; expected --camera NAME=WHICH"
        )
    return Tethered(which or ANY, name)


def _made(which: str) -> str:
    """A name for a camera that was given none."""
    if which == ANY:
        return "camera"
    kind, _, host = which.partition(":")
    told = host if kind.lower() == NETWORK and host else which
    return plain(naming.safe(told.replace("/", "-").replace(":", "-")))[:_LONGEST]


def _check_place(camera: Tethered, folder: Path) -> None:
    place = folder / camera.name
    if camera.name and (place.is_symlink() or (place.exists() and not place.is_dir())):
        raise typer.BadParameter(
            f"frames of {plain(camera.name)} are to go into {plain(str(place))}, which is no "
            "folder or a link; give the camera another name: --camera NAME=WHICH"
        )
