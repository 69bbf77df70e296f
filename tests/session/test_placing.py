"""A watch puts each frame where it belongs, and says which setups lack sharp ones."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from tests.pictures import jpeg, portrait, write
from tests.session.made import until
from tests.session.running import Begin
from tether.frame.anchor import coded, reduced, times_for
from tether.frame.decode import decode
from tether.model import Rect, Setup, Source, Verdict
from tether.session import laid as areas
from tether.session import overrules, setups, turns
from tether.session.laid import Laid
from tether.session.reader import Reader, Row
from tether.session.record import Record
from tether.settings import Session, load

SHARP = jpeg(portrait())
SOFT = jpeg(portrait(blur_sigma=4))
BETWEEN = jpeg(portrait(blur_sigma=1.6))
BOWL = Setup("Bowl", "B-01")
MAKER = Setup("The maker", preset="portrait", area=(0.4, 0.2, 0.3, 0.3))


@pytest.fixture
def session(folder: Path) -> Path:
    Record(folder).open()
    setups.put_list(folder, [BOWL, MAKER], "list")
    return folder


def names(folder: Path) -> dict[int | None, str]:
    return {one.id: one.setup.name for one in Reader(folder).shot_list()[0]}


def where(folder: Path) -> dict[str, str | None]:
    known = names(folder)
    return {row.name: known.get(row.setup) for row in Reader(folder).rows_since(0)}


def row(folder: Path, name: str) -> Row:
    return next(one for one in Reader(folder).rows_since(0) if one.name == name)


def test_without_a_setup_frames_belong_to_none(session: Path, watched: Begin) -> None:
    running = watched()
    write(session / "bowl-1.jpg", SHARP)
    running.until_told(1)
    assert running.told[0].setup is None
    assert where(session) == {"bowl-1": None}
    assert Reader(session).progress().reshoots == ()


def test_frames_belong_to_the_setup_that_was_turned_to(session: Path, watched: Begin) -> None:
    running = watched(load("product"))
    turns.turn_to(session, "b-01", "command")
    write(session / "one.jpg", SHARP)
    running.until_told(1)
    turns.turn_on(session, "screen")
    write(session / "two.jpg", SHARP)
    running.until_told(2)
    assert [one.setup for one in running.told] == ["Bowl", "The maker"]
    assert where(session) == {"one": "Bowl", "two": "The maker"}
    areas = [one.area.source for one in running.told if one.area]
    # Each is judged by its own settings: the second has an area of its own.
    assert areas == [Source.FRAME_CENTRE, Source.FIXED_AREA]


def test_a_folder_that_is_named_as_a_setup_turns_to_it(session: Path, watched: Begin) -> None:
    running = watched()
    for name in ("bowl", "b-01", "THE MAKER", "other"):
        (session / name).mkdir()
    write(session / "bowl" / "one.jpg", SHARP)
    running.until_told(1)
    write(session / "THE MAKER" / "two.jpg", SHARP)
    running.until_told(2)
    write(session / "three.jpg", SHARP)
    write(session / "other" / "four.jpg", SHARP)
    running.until_told(4)
    write(session / "b-01" / "five.jpg", SHARP)
    running.until_told(5)
    assert where(session) == {
        "bowl/one": "Bowl",
        "THE MAKER/two": "The maker",
        "three": "The maker",
        "other/four": "The maker",
        "b-01/five": "Bowl",
    }


def test_every_folder_is_a_setup_where_that_is_asked_for(folder: Path, watched: Begin) -> None:
    running = watched(load("product").model_copy(update={"session": Session(by_folder=True)}))
    (folder / "Jug" / "details").mkdir(parents=True)
    write(folder / "Jug" / "one.jpg", SHARP)
    write(folder / "Jug" / "details" / "two.jpg", SHARP)
    running.until_told(2)
    assert where(folder) == {"Jug/one": "Jug", "Jug/details/two": "Jug"}
    assert Reader(folder).shot_list()[0][0].origin == "folder"


def test_what_a_late_turn_says_of_earlier_frames_is_put_right(
    session: Path, watched: Begin
) -> None:
    """As after a slate that is read behind the frames which follow it: the newest come first."""
    running = watched(load("product"))
    write(session / "one.jpg", SHARP)
    running.until_told(1)
    time.sleep(0.05)
    between = time.time()
    write(session / "two.jpg", SHARP)
    running.until_told(2)
    assert where(session) == {"one": None, "two": None}
    turns.turn_to(session, "The maker", "slate", between)
    running.until_told(3)  # judged anew, since its setup has an area of its own
    assert where(session) == {"one": None, "two": "The maker"}
    anew = running.told[2]
    assert (anew.frame, anew.setup) == ("two", "The maker")
    assert anew.area is not None
    assert anew.area.source is Source.FIXED_AREA
    number = row(session, "two").id
    told = Reader(session).frame(number)
    assert told is not None
    assert told["setup"] == "The maker"
    turns.turn_to(session, "Bowl", "slate", between - 0.01)
    until(lambda: Reader(session).progress().current is not None)
    time.sleep(0.6)
    # An earlier one does not reach past the later one.
    assert where(session) == {"one": None, "two": "The maker"}


def test_leaving_a_setup_uncovered_is_raised_once_and_closes_by_itself(
    session: Path, watched: Begin
) -> None:
    running = watched()
    turns.turn_to(session, "Bowl", "screen")
    write(session / "one.jpg", SOFT)
    running.until_told(1)
    turns.turn_to(session, "The maker", "screen")
    until(lambda: [one.setup.name for one in running.raised] == ["Bowl"])
    reader = Reader(session)
    assert [one.coverage.setup.name for one in reader.progress().reshoots] == ["Bowl"]
    turns.turn_to(session, "Bowl", "screen")
    write(session / "two.jpg", SHARP)
    running.until_told(2)
    until(lambda: reader.progress().reshoots == ())
    # The maker was only passed by, without a frame.
    assert [one.setup.name for one in running.raised] == ["Bowl"]


def test_alerts_hear_whether_the_setup_is_in_danger(session: Path, watched: Begin) -> None:
    running = watched()
    write(session / "zero.jpg", SOFT)
    running.until_told(1)
    turns.turn_to(session, "Bowl", "screen")
    for nth, picture in enumerate([SOFT, SHARP, SOFT], 1):
        write(session / f"frame-{nth}.jpg", picture)
        running.until_told(nth + 1)
        time.sleep(1.1)  # apart, so that each is a try of its own
    assert running.danger == [True, True, False, False]


def test_the_limit_that_was_fed_holds_for_what_follows(session: Path, watched: Begin) -> None:
    running = watched()
    write(session / "one.jpg", SOFT)
    running.until_told(1)
    first = running.told[0]
    assert first.verdict is Verdict.SOFT
    overrules.overrule(session, 1, Verdict.SHARP, "a soft print", feed=True)
    write(session / "two.jpg", SOFT)
    running.until_told(2)
    second = running.told[1]
    assert second.verdict is Verdict.SHARP
    assert second.measurement is not None
    assert second.measurement.widest is not None
    assert second.limit_px == pytest.approx(second.measurement.widest.hi, abs=0.01)
    assert "as one was overruled" in second.limit_why


def test_an_area_drawn_for_one_setup_is_not_another_ones(session: Path, watched: Begin) -> None:
    running = watched(load("product"))
    turns.turn_to(session, "Bowl", "screen")
    write(session / "one.jpg", SHARP)
    running.until_told(1)
    bowl = row(session, "one").setup
    luma = decode(SHARP, session / "one.jpg").luma
    small = coded(reduced(luma, Rect(0, 0, 512, 512), times_for(512, 512)))
    areas.put(session, Laid(Rect(100, 100, 200, 200), (512, 512), "one", drawn=True), small, bowl)
    write(session / "two.jpg", SHARP)
    running.until_told(2)
    turns.turn(session, None, "screen")
    write(session / "three.jpg", SHARP)
    running.until_told(3)
    found = [one.area.source for one in running.told if one.area]
    assert found == [Source.FRAME_CENTRE, Source.FIXED_AREA, Source.FRAME_CENTRE]


def test_while_the_record_is_away_frames_are_judged_all_the_same(
    session: Path, watched: Begin
) -> None:
    running = watched()
    turns.turn_to(session, "Bowl", "screen")
    write(session / "one.jpg", SHARP)
    running.until_told(1)
    setups.change(session, 1, Setup("Bowl", "B-01", preset="no such preset"))
    write(session / "two.jpg", SHARP)
    running.until_told(2)
    assert [one.verdict for one in running.told] == [Verdict.SHARP, Verdict.SHARP]


def test_what_was_there_before_turns_to_no_setup_when_it_is_seen_again(
    session: Path, watched: Begin
) -> None:
    running = watched()
    (session / "The maker").mkdir()
    old = write(session / "The maker" / "one.jpg", SHARP)
    running.until_told(1)
    turns.turn_to(session, "Bowl", "command")
    write(session / "two.jpg", SHARP)
    running.until_told(2)
    old.touch()  # as a backup or a cataloguing program may
    write(session / "three.jpg", SHARP)
    running.until_told(3)
    running.end()
    again = watched()
    write(session / "four.jpg", SHARP)
    again.until_told(1)
    assert where(session) == {
        "The maker/one": "The maker",
        "two": "Bowl",
        "three": "Bowl",
        "four": "Bowl",
    }


def test_a_frame_that_is_saved_anew_stays_where_it_belongs(session: Path, watched: Begin) -> None:
    running = watched()
    turns.turn_to(session, "Bowl", "screen")
    write(session / "one.jpg", SOFT)
    running.until_told(1)
    turns.turn_to(session, "The maker", "screen")
    write(session / "one.jpg", SHARP)
    running.until_told(2)
    assert running.told[1].setup == "Bowl"
    (session / "one.jpg").rename(session / "renamed.jpg")
    until(lambda: where(session) == {"renamed": "Bowl"})
    write(session / "renamed.jpg", SOFT)
    running.until_told(3)
    running.end()
    again = watched()
    write(session / "renamed.jpg", SHARP)
    again.until_told(1)
    assert where(session) == {"renamed": "Bowl"}
    assert Reader(session).progress().setups[0].has == 1
