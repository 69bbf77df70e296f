"""Assembles the commands."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

from tether import __version__
from tether.commands.anycamera import CameraCommand
from tether.commands.check import check
from tether.commands.ready import ready
from tether.commands.rehearse import rehearse
from tether.commands.setup import setup
from tether.commands.show import show
from tether.commands.watch import watch

app = typer.Typer(
    name="tether",
    help="Tells which frames are soft where it matters, why, and what to change, while you shoot.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.command(cls=CameraCommand)(watch)
app.command(cls=CameraCommand)(ready)
for command in (check, show, setup, rehearse):
    app.command()(command)


def _say_version(wanted: bool) -> None:
    if wanted:
        print(f"tether {__version__}")
        raise typer.Exit


@app.callback()
def _top(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_say_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    pass


def main() -> None:
    """Run the command line; a reader of our output that goes away is no error."""
    try:
        app()
    except BrokenPipeError:
        # What is still buffered has nowhere to go, and the interpreter would complain at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
