"""`tether ready`: what to put right before a session begins."""

from __future__ import annotations

import sys
from importlib.util import find_spec as importable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tether.commands import options

if TYPE_CHECKING:
    from tether.settings import Settings
    from tether.verdict.checked import Check

_NO_CAMERA = "no camera is asked for (--camera): none is looked at"


def ready(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the frames will land.")],
    preset: options.Preset = None,
    config: options.Config = None,
    camera: options.Camera = None,
    tripod: Annotated[
        bool | None, typer.Option("--tripod/--hand", help="What holds the camera.")
    ] = None,
    subject_distance: Annotated[
        float | None,
        typer.Option(metavar="M", min=0.01, max=10_000, help="How far the subject is, in m."),
    ] = None,
    subject_depth: Annotated[
        float | None,
        typer.Option(metavar="CM", min=0.01, max=100_000, help="How deep it is, in cm."),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="One JSON object a check on standard output.")
    ] = False,
) -> None:
    """Look at camera, folder, disk and alerts before a session.

    Nothing on the camera is changed. Ends with 0 when there is nothing to change, 1 when there is.
    """
    if not folder.is_dir():
        help_it = "name the folder it is in" if folder.exists() else "make it first"
        raise typer.BadParameter(f"{folder} is no folder; {help_it}")
    settings = options.settings(preset, config, None)
    if camera is not None and not importable("gphoto2"):
        raise typer.BadParameter("--camera needs the library gphoto2, which this system lacks")
    settings = _with(settings, tripod, subject_distance, subject_depth)
    from tether.commands import ready_lines
    from tether.ready import checks

    say = ready_lines.for_script if as_json else ready_lines.for_person
    found: list[Check] = []
    if camera is None:
        print(_NO_CAMERA, file=sys.stderr if as_json else sys.stdout)
    else:
        found += checks.of_the_camera(folder, camera, settings)
        say(found, sys.stdout)
    here = [*checks.of_the_folder(folder), *checks.of_the_alerts(settings)]
    say(here, sys.stdout)
    found += here
    if not as_json:
        ready_lines.summary(found, sys.stdout)
    raise typer.Exit(int(any(check.to_change for check in found)))


def _with(
    settings: Settings, tripod: bool | None, distance: float | None, depth: float | None
) -> Settings:
    """The settings with what the command line says of this shot."""
    said: dict[str, object] = {}
    if tripod is not None:
        said["support"] = "tripod" if tripod else "hand"
    if distance is not None:
        said["subject_distance_m"] = distance
    if depth is not None:
        said["subject_depth_cm"] = depth
    return settings.model_copy(update={"camera": settings.camera.model_copy(update=said)})
