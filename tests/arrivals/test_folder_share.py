"""Where no events come, sweeps find the pictures."""

from pathlib import Path

from tests.arrivals.conftest import Watch
from tests.arrivals.doubles import LimitReached, NoEvents, recorded
from tests.arrivals.inbox import at_rest, wait_for
from tests.arrivals.pictures import jpeg
from tether.arrivals.folder import SILENT
from tether.arrivals.source import Watching


def test_polling_needs_no_events(folder: Path, watch: Watch) -> None:
    events = recorded()
    _, inbox = watch(polling=True, sweep_s=60, events=events)
    (folder / "sub").mkdir()
    (folder / "sub" / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "sub" / "a.jpg", seconds=4)
    assert len(inbox.all) == 1
    assert not events.made


def test_a_file_saved_again_is_noticed_without_events(folder: Path, watch: Watch) -> None:
    source, inbox = watch(polling=True)
    for size in (30_000, 31_000):
        (folder / "a.jpg").write_bytes(jpeg(size))
        assert wait_for(lambda size=size: any(one.file.size == size for one in inbox.wholes))  # type: ignore[misc]
    at_rest(source)
    assert len(inbox.all) == 2


def test_a_file_that_grows_between_sweeps_is_delivered_when_it_is_whole(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch(polling=True)
    content = jpeg(50_000)
    with (folder / "a.jpg").open("wb", buffering=0) as file:
        for start in range(0, len(content), 10_000):
            file.write(content[start : start + 10_000])
            before = source.sweeps
            assert start + 10_000 == len(content) or not inbox.all
            assert wait_for(lambda before=before: source.sweeps > before)  # type: ignore[misc]
        inbox.until(folder / "a.jpg", seconds=4)
    at_rest(source)
    assert [whole.file.size for whole in inbox.wholes] == [50_000]


def test_files_found_twice_without_events_turn_polling_on_by_itself_and_say_so_once(
    folder: Path, watch: Watch
) -> None:
    source, inbox = watch(events=NoEvents)
    for name in ("a", "b"):
        (folder / f"{name}.jpg").write_bytes(jpeg())
        inbox.until(folder / f"{name}.jpg")
        at_rest(source)
    assert wait_for(lambda: bool(inbox.lines))
    (folder / "c.jpg").write_bytes(jpeg())
    inbox.until(folder / "c.jpg")
    at_rest(source)
    assert inbox.lines == [Watching(True, SILENT)]
    assert len(inbox.wholes) == 3


def test_pictures_there_at_the_start_do_not_turn_polling_on(folder: Path, watch: Watch) -> None:
    (folder / "a.jpg").write_bytes(jpeg())
    source, inbox = watch()
    for number in range(3):
        path = folder / f"{number}.jpg"
        path.write_bytes(jpeg())
        inbox.until(path)
        at_rest(source)
    source, second = watch()
    second.until(*inbox.paths)
    for _ in range(4):
        at_rest(source)
    assert not inbox.lines
    assert not second.lines


def test_a_limit_of_the_system_means_polling_and_is_said_once(folder: Path, watch: Watch) -> None:
    source, inbox = watch(events=LimitReached)
    (folder / "a.jpg").write_bytes(jpeg())
    inbox.until(folder / "a.jpg")
    at_rest(source)
    (line,) = inbox.lines
    assert line.there
    assert "inotify watch limit reached" in line.line
    assert "polling" in line.line
