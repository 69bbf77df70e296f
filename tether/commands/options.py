"""Options that several commands share, and how they become settings."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from tether.model import Setup
    from tether.settings import Settings

Preset = Annotated[
    str | None, typer.Option(metavar="NAME", help="Settings for a purpose: portrait or product.")
]
Config = Annotated[
    Path | None, typer.Option(metavar="FILE", help="Your own settings (TOML), over the preset's.")
]
FixedArea = Annotated[
    str | None,
    typer.Option(
        "--area",
        metavar="X,Y,W,H",
        help="Judge this area, from the top left of the unrotated picture: whole px, as in "
        "2800,1500,400,400, or fractions of the frame, as in 0.4,0.35,0.1,0.12.",
    ),
]
Headless = Annotated[bool, typer.Option("--headless", help="No dashboard: print a line a frame.")]
Camera = Annotated[
    str | None,
    typer.Option(
        "--camera",
        metavar="[MODEL|PORT|SERIAL]",
        help="Fetch each frame from the camera on the cable, or on the network (ptpip:HOST).",
    ),
]
SecondScreen = Annotated[
    bool,
    typer.Option("--second-screen", help="Serve a page for a tablet or phone on the set."),
]
Host = Annotated[
    str | None,
    typer.Option(
        "--host",
        metavar="ADDRESS",
        help="With --second-screen: an address of this computer that your own network reaches, or "
        "0.0.0.0 for all. Without it only this computer can open the page.",
    ),
]
Port = Annotated[
    int | None,
    typer.Option(
        "--port", metavar="N", min=1, max=65535, help="With --second-screen: its port, else 8321."
    ),
]
Cameras = Annotated[
    list[str] | None,
    typer.Option(
        "--camera",
        metavar="[NAME=][MODEL|PORT|SERIAL]",
        help="Fetch each frame from the camera on the cable, or on the network (ptpip:HOST). Of "
        "several cameras each fills a folder of its NAME.",
    ),
]
Json = Annotated[
    bool, typer.Option("--json", help="One JSON object a frame on standard output, nothing else.")
]
Explain = Annotated[
    bool, typer.Option("--explain", help="Draw what each verdict rests on, as a PNG.")
]
To = Annotated[
    Path | None,
    typer.Option(
        "--to", metavar="FOLDER", help="Where --explain's pictures go, if not where you are."
    ),
]
Against = Annotated[
    Path | None,
    typer.Option(
        "--against",
        metavar="REFERENCE",
        help="Also compare with this picture: how many times as wide edges are as in it.",
    ),
]


def settings(preset: str | None, config: Path | None, area: str | None) -> Settings:
    """Load the settings; `area`, if given, is fixed and comes before every other source.

    Raises
    ------
    typer.BadParameter
        Something in them cannot be used; the message says where and what was expected.
    """
    from tether.settings import SettingsError, load

    try:
        loaded = load(preset, config)
    except SettingsError as problem:
        raise typer.BadParameter(str(problem)) from None
    if area is None:
        return loaded
    sources = [name for name in loaded.area.sources if name != "fixed area"]
    fixed = loaded.area.model_copy(
        update={"fixed": _rectangle(area), "sources": ["fixed area", *sources]}
    )
    return loaded.model_copy(update={"area": fixed})


def shots(path: Path | None) -> tuple[Setup, ...]:
    """Read a shot list; what of it was left aside is said.

    Raises
    ------
    typer.BadParameter
        It cannot be used; the message says all that is wrong with it.
    """
    if path is None:
        return ()
    from tether.session.shot_list.problems import ShotListError
    from tether.session.shot_list.read import read
    from tether.settings import presets

    try:
        found = read(path, presets())
    except ShotListError as problem:
        raise typer.BadParameter(str(problem)) from None
    for note in found.notes:
        print(f"tether: {note}", file=sys.stderr)
    return found.setups


def _rectangle(text: str) -> list[int | float]:
    from tether.settings import why_no_area

    try:
        numbers = [float(part) if "." in part else int(part) for part in text.split(",")]
        why = why_no_area(numbers)
    except ValueError:
        why = "it is not made of numbers"
    if why:
        raise typer.BadParameter(
            f"{text!r} is no area: {why}; expected X,Y,W,H in whole px, as in 2800,1500,400,400, "
            "or in fractions of the frame, as in 0.4,0.35,0.1,0.12"
        )
    return numbers
