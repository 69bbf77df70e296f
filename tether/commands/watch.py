"""`tether watch`: judge each frame as it lands in a folder."""

from __future__ import annotations

import os
import sys
import threading
from contextlib import ExitStack, suppress
from functools import partial
from importlib.util import find_spec as importable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tether import BEGUN_NS
from tether.commands import options
from tether.commands.cameras import cameras

if TYPE_CHECKING:
    from tether.model import Setup


def watch(
    folders: Annotated[
        list[Path],
        typer.Argument(
            metavar="FOLDER",
            help="Where the frames land; the first of several keeps the session's record.",
        ),
    ],
    preset: options.Preset = None,
    config: options.Config = None,
    area: options.FixedArea = None,
    existing: Annotated[
        bool, typer.Option("--existing", help="Judge the frames that are there already, too.")
    ] = False,
    polling: Annotated[
        bool,
        typer.Option("--polling", help="Look every second, for a share that sends no events."),
    ] = False,
    camera: options.Cameras = None,
    shot_list: Annotated[
        Path | None,
        typer.Option("--shot-list", metavar="FILE", help="The setups to get (TOML or CSV)."),
    ] = None,
    by_folder: Annotated[
        bool, typer.Option("--by-folder", help="Every folder inside FOLDER is a setup.")
    ] = False,
    no_alerts: Annotated[
        bool,
        typer.Option("--no-alerts", help="Run no command and send no notification."),
    ] = False,
    second_screen: options.SecondScreen = False,
    host: options.Host = None,
    port: options.Port = None,
    headless: options.Headless = False,
    as_json: options.Json = False,
    supervised: Annotated[bool, typer.Option("--supervised", hidden=True)] = False,
    since_ns: Annotated[int, typer.Option("--since-ns", hidden=True)] = BEGUN_NS,
) -> None:
    """Watch folders and judge each frame as it lands there.

    The dashboard shows the session; `q` leaves it and ends the watch. Pictures are only ever read.
    """
    _check_folders(folders)
    folder, *others = folders
    settings = options.settings(preset, config, area)
    asked = camera or []
    if asked and not importable("gphoto2"):
        raise typer.BadParameter("--camera needs the library gphoto2, which this system lacks")
    tethered = cameras(asked, folder) if asked else ()
    shots = options.shots(shot_list)
    if by_folder:
        counted = settings.session.model_copy(update={"by_folder": True})
        settings = settings.model_copy(update={"session": counted})
    if as_json and not headless:
        raise typer.BadParameter("--json goes with --headless")
    if not second_screen and (host is not None or port is not None):
        raise typer.BadParameter("--host and --port go with --second-screen")
    owner = os.getppid() if supervised else None  # as early as may be: it may end at any time
    _note_start(folders, since_ns)
    if headless or supervised:
        if polling:
            held = settings.watch.model_copy(update={"polling": True})
            settings = settings.model_copy(update={"watch": held})
        from tether.commands import watching
        from tether.commands.second_screen import on_stderr, second_screen_of
        from tether.session.lock import AlreadyWatched
        from tether.session.schema import RecordError
        from tether.session.setups import SetupError
        from tether.settings import load

        watching.log_to_stderr(greet=not supervised)
        told = [] if supervised else [watching.teller(as_json=as_json)]
        alerted = [] if supervised else watching.bell(settings)
        try:
            with watching.stopped_by_signals() as stop, ExitStack() as beside:
                if second_screen:
                    beside.enter_context(
                        second_screen_of(folder, settings, host, port, told=on_stderr())
                    )
                if supervised:
                    threading.Thread(
                        target=_until_closed, args=(stop, folders), daemon=True
                    ).start()
                watching.watch_here(
                    folder,
                    settings,
                    stop=stop,
                    existing=existing,
                    since_ns=since_ns,
                    told=told,
                    alerted=alerted,
                    others=others,
                    cameras=tethered,
                    asked=None if no_alerts else settings.alerts,
                    shots=shots,
                    preset=partial(load, config=config),
                    owner=owner,
                )
        except (AlreadyWatched, RecordError, SetupError) as problem:
            print(f"tether: {problem}", file=sys.stderr)
            raise typer.Exit(2) from None
        return
    # Once, and not by each watch that is started anew: what was edited since must stay.
    _prepare(folders, shots)
    from tether.commands.second_screen import second_screen_of
    from tether.commands.supervised import SupervisedWatch
    from tether.dashboard.run import run

    arguments = [f"--since-ns={since_ns}"]
    for name, value in (("--preset", preset), ("--config", config), ("--area", area)):
        arguments += [name, str(value)] if value is not None else []
    arguments += [f"--camera={one}" for one in asked]
    arguments += ["--existing"] if existing else []
    arguments += ["--polling"] if polling else []
    arguments += ["--by-folder"] if by_folder else []
    arguments += ["--no-alerts"] if no_alerts else []
    with (
        SupervisedWatch([*arguments, "--", *map(str, folders)]) as watching_process,
        ExitStack() as beside,
    ):
        page = second_screen_of(folder, settings, host, port) if second_screen else None
        if page is not None:
            beside.enter_context(page)

        def notice() -> str | None:
            told = [watching_process.line(), page.line() if page else None]
            return "; ".join(one for one in told if one) or None

        status = run(
            folder,
            bell=settings.alerts.bell,
            in_danger_only=settings.alerts.in_danger_only,
            reshoot_bell=settings.alerts.reshoot,
            ends_watch=True,
            notice=notice,
            second_screen=page.invitation if page else None,
        )
    _left(folder)
    raise typer.Exit(status)


def _check_folders(folders: list[Path]) -> None:
    from tether.session.roots import why_not_together

    for folder in folders:
        if not folder.is_dir():
            help_it = "watch the folder it is in" if folder.exists() else "make it first"
            raise typer.BadParameter(f"{folder} is no folder; {help_it}")
    if why_not := why_not_together(folders):
        raise typer.BadParameter(why_not)


def _note_start(folders: list[Path], since_ns: int) -> None:
    """Keep when this watch was started before what takes time: it may be killed any moment."""
    from tether.session import lock

    if any(map(lock.held, folders)):
        return  # refused most likely; if not, it is kept in time once the folder is free
    from tether.commands.passed_over import started
    from tether.session.roots import Roots
    from tether.session.schema import RecordError

    with suppress(RecordError):  # said in a moment, in full
        started(Roots(folders[0], folders[1:]), since_ns)


def _prepare(folders: list[Path], shots: tuple[Setup, ...]) -> None:
    """Lay the shot list; say on the command line what a dashboard would open only to say."""
    import sqlite3

    from tether.commands.shot_list import begun_with
    from tether.session import lock
    from tether.session.schema import RecordError
    from tether.session.setups import SetupError

    for folder in folders:
        if not lock.free(folder, lambda told: print(f"tether: {told}", file=sys.stderr)):
            print(f"tether: {folder} is watched already; `tether show` looks on", file=sys.stderr)
            raise typer.Exit(2)
    try:
        begun_with(folders[0], shots)
    except SetupError as problem:
        print(f"tether: the shot list: {problem}", file=sys.stderr)
        raise typer.Exit(2) from None
    except RecordError as problem:
        damaged = type(problem.__cause__) is sqlite3.DatabaseError
        remedy = "; move that file away to begin anew" if damaged else ""
        print(f"tether: {problem}{remedy}", file=sys.stderr)
        raise typer.Exit(2) from None


def _left(folder: Path) -> None:
    """Say what is still to be shot, as a watch without a screen does at its end."""
    from tether.commands.shot_list import uncovered

    with suppress(OSError):  # the terminal is gone
        for line in uncovered(folder):
            print(f"tether: {line}", file=sys.stderr)


def _until_closed(stop: threading.Event, folders: list[Path]) -> None:
    """Wait for the end of standard input: whoever started this watch is gone."""
    # Not through sys.stdin: its lock, held by a waiting thread, would abort the interpreter's end.
    while os.read(0, 4096):
        pass
    stop.set()
    from tether.session import lock

    for folder in folders:
        lock.leave(folder)
