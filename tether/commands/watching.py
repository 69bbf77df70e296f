"""A watch in this process, from its folder to its printed lines."""

from __future__ import annotations

import logging
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from tether import BEGUN_NS
from tether.alerts.bell import ring_when_soft
from tether.alerts.dispatch import Dispatch
from tether.commands import lines, shot_list
from tether.commands.cameras import Tethered
from tether.commands.passed_over import pass_over
from tether.commands.sources import sources
from tether.model import Judgement, Setup
from tether.plain import plain
from tether.session import sessions
from tether.session.coverage import Coverage
from tether.session.lock import Lock
from tether.session.roots import Roots
from tether.session.watch import Watch
from tether.settings import Alerts, Settings

_log = logging.getLogger(__name__)

_CAMERA = "tether.arrivals.camera.source"

Told = Callable[[Judgement], None]
Alerted = Callable[[Judgement, bool], None]


def watch_here(
    folder: Path,
    settings: Settings,
    *,
    stop: threading.Event,
    existing: bool,
    told: list[Told],
    alerted: list[Alerted],
    since_ns: int = BEGUN_NS,
    others: Sequence[Path] = (),
    cameras: Sequence[Tethered] = (),
    asked: Alerts | None = None,
    shots: Sequence[Setup] = (),
    preset: Callable[[str], Settings] | None = None,
    owner: int | None = None,
) -> None:
    """Watch `folder` until `stop` is set; what `asked` names besides the bell is told, too.

    With `others` and `cameras` it is one session, in that folder's record.
    Frames from before `since_ns`, `time.time_ns()`, are passed over unless they are asked for.
    `shots` are laid over the record's shot list; `preset` is what the watch takes. `owner` is the
    process that it runs for, where it ends with one.

    Raises
    ------
    AlreadyWatched, RecordError
        Another watch runs there, or the record cannot be opened.
    """
    roots = Roots(folder, others, [one.name for one in cameras if one.name])
    with ExitStack() as held:
        held.enter_context(Lock(folder, owner))
        _locked(roots, owner, held)
        if stop.is_set():
            return  # whoever wanted it is gone while it started
        held.enter_context(sessions.noted(folder))
        left = pass_over(roots, since_ns, existing=existing)
        by_folder = shot_list.in_folders(roots) if settings.session.by_folder else []
        shot_list.laid_over(roots.home, shots, by_folder)
        _log.info("watching %s", " and ".join(plain(str(one)) for one in (folder, *others)))
        if left:
            # A dashboard shows it, too: who forgot --existing would wait in vain.
            _log.warning("%s there already, passed over without --existing", _count(left))
        source = sources(roots, cameras, settings)
        with Dispatch(asked or Alerts()) as dispatch:
            told, alerted = [*told, dispatch.whole], [*alerted, dispatch.verdict]
            Watch(
                *(folder, settings, source, told, alerted, dispatch.failing),
                raised=[dispatch.raised, _reshoot],
                preset=preset,
                roots=roots,
            ).run(stop)
        for line in shot_list.uncovered(folder):
            _log.warning("%s", line)


def _locked(roots: Roots, owner: int | None, held: ExitStack) -> None:
    """Keep other watches off the further folders, in which nothing else is written.

    Raises
    ------
    AlreadyWatched
        One runs there.
    """
    for origin in roots.origins:
        if origin.within == roots.home:
            continue
        if not held.enter_context(Lock(origin.folder, owner)).taken:
            told = plain(str(origin.folder))
            _log.warning("nothing can be written in %s: another watch is not kept off it", told)


def _reshoot(setup: Coverage) -> None:
    needed = setup.setup.needed
    _log.info("reshoot: %s, %d of %d sharp", plain(setup.setup.name), setup.has, needed)


def teller(*, as_json: bool) -> Told:
    """Print each frame on standard output."""
    if as_json:
        return lambda judgement: lines.for_script(judgement, sys.stdout)
    setup: list[str | None] = [None]

    def say(judgement: Judgement) -> None:
        if judgement.setup != setup[0]:
            setup[0] = judgement.setup
            lines.heading(judgement.setup, sys.stdout)
        lines.for_person(judgement, sys.stdout)

    return say


def bell(settings: Settings) -> list[Alerted]:
    """Ring where that is wanted."""
    return [ring_when_soft] if settings.alerts.bell else []


@contextmanager
def stopped_by_signals() -> Iterator[threading.Event]:
    """An event that is set by SIGINT, SIGTERM and SIGHUP; handlers are put back at the end.

    A signal that whoever started this has ignored, as nohup does, stays ignored.
    """
    stop = threading.Event()
    names = [n for n in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, n)]
    numbers = [getattr(signal, name) for name in names]
    before = {
        number: signal.signal(number, lambda *_: stop.set())
        for number in numbers
        if signal.getsignal(number) is not signal.SIG_IGN
    }
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def log_to_stderr(*, greet: bool) -> None:
    """Lines about the watch itself, one each, apart from the frames' on standard output.

    `greet` has it say that it is ready, and how its camera is; a dashboard shows that anyway.
    """
    for told in (_log, logging.getLogger(_CAMERA)):
        told.setLevel(logging.INFO if greet else logging.WARNING)
    # A dashboard tells of failing alerts as long as they fail; a second time would hide the rest.
    logging.getLogger("tether.alerts").setLevel(logging.INFO if greet else logging.ERROR)
    logging.basicConfig(stream=sys.stderr, level=logging.WARNING, format="tether: %(message)s")


def _count(left: int) -> str:
    return "1 picture" if left == 1 else f"{left} pictures"
