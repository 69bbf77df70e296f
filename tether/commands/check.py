"""`tether check`: judge files and folders once."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tether.commands import options

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tether.judge import Judged
    from tether.reference import Reference
    from tether.settings import Settings


def check(
    paths: Annotated[
        list[Path], typer.Argument(metavar="PATH…", help="Pictures, or folders of them.")
    ],
    preset: options.Preset = None,
    config: options.Config = None,
    area: options.FixedArea = None,
    as_json: options.Json = False,
    explained: options.Explain = False,
    to: options.To = None,
    against: options.Against = None,
) -> None:
    """Judge these pictures.

    With --against each is also compared with a reference: a frame of the same subject from the
    same place, the sharpest there is. Light, exposure and noise may differ, and the subject may
    stand up to 40 px elsewhere. That tells a change of sharpness far better than two edge widths
    do.

    A frame that shows a code is a slate and is not judged; its line tells the code.

    Exit status, slates apart: 0 when every frame is sharp, 1 when some frame is not, 2 on a usage
    error, when nothing could be read, or when no picture that was asked for could be written.
    """
    # First of all: it gets ready while the rest is loaded here.
    from tether.frame import metadata

    metadata.get_ready()

    from tether.commands import lines
    from tether.commands.explain import explain, folder_for
    from tether.commands.progress import progress
    from tether.commands.references import reference_of
    from tether.model import Cause, Verdict

    settings = options.settings(preset, config, area)
    if to is not None and not explained:
        raise typer.BadParameter("--to names the folder for --explain: give both")
    folder = folder_for(to) if explained else None
    reference = reference_of(against) if against is not None else None
    found = _files(paths)
    if not found:
        raise typer.BadParameter(f"no picture in {', '.join(map(str, paths))}")
    say = lines.for_script if as_json else lines.for_person
    verdicts, limits, read = set(), {""}, False
    drawn: set[bool] = set()
    with progress(len(found)) as advance:
        for judged, (_, within) in zip(_judged(found, settings, reference), found, strict=True):
            judgement = judged.judgement
            limit = "" if as_json else lines.limit(judgement)
            if limit not in limits:
                lines.limit_why(judgement, sys.stdout)
                limits.add(limit)
            say(judgement, sys.stdout)
            if judged.against is not None and not as_json:
                lines.against(judged.against, sys.stdout)
            if not judgement.slate:
                verdicts.add(judgement.verdict)
            read = read or judgement.cause is not Cause.UNREADABLE
            if folder is not None and judgement.measurement is not None:
                drawn.add(explain(judged, settings, within, folder, as_json=as_json))
            advance()
    raise typer.Exit(2 if not read or drawn == {False} else 0 if verdicts <= {Verdict.SHARP} else 1)


def _files(paths: list[Path]) -> list[tuple[Path, Path | None]]:
    """Every frame's file in the order of the paths, and the folder it was found in, if any.

    A raw beside its JPEG makes no second frame.
    """
    from tether.arrivals.sweep import pictures_below
    from tether.frame import kinds
    from tether.session.exposures import key

    found: list[tuple[Path, Path | None]] = []
    for path in paths:
        if path.is_dir():
            inside = list(pictures_below(path))
            pictures = {key(one) for one in inside if not kinds.is_raw(one)}
            found += [
                (one, path) for one in inside if not kinds.is_raw(one) or key(one) not in pictures
            ]
        else:
            found.append((path, None))
    return found


def _judged(
    files: list[tuple[Path, Path | None]], settings: Settings, reference: Reference | None
) -> Iterator[Judged]:
    """Judge in the order asked, a few at a time, so that a thousand frames need few in memory.

    There is no shot list: where the settings take listed codes alone, no frame is a slate.
    """
    import time
    from collections import deque
    from concurrent.futures import Future, ThreadPoolExecutor
    from datetime import datetime

    from tether.frame import processes
    from tether.judge import Asked, judge_whole, warm
    from tether.session.exposures import frame_name

    def one(path: Path, within: Path | None) -> Judged:
        name = frame_name(path.relative_to(within) if within else path)
        now = datetime.now().astimezone()
        asked = Asked(path, name, now, time.monotonic(), within)
        return judge_whole(asked, settings, reference, lambda _: False)

    warm()
    workers = settings.watch.workers
    with ThreadPoolExecutor(workers) as pool:
        running: deque[Future[Judged]] = deque()
        try:
            for path, within in files:
                running.append(pool.submit(one, path, within))
                if len(running) > 2 * workers:
                    yield running.popleft().result()
            while running:
                yield running.popleft().result()
        finally:
            pool.shutdown(wait=False, cancel_futures=True)
            if running:  # interrupted: a file that hangs is not waited for
                processes.end()
