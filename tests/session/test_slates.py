"""A slate turns the session to its setup, whichever frame is judged first."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from mocks.slate import Slate
from tests.pictures import jpeg, portrait, write
from tests.session.made import until
from tests.session.running import Begin
from tests.slated import Taken, frame_with
from tether.model import Setup, Verdict
from tether.session import setups, turns
from tether.session.reader import Reader
from tether.session.record import Record
from tether.settings import Settings, load

SHARP = jpeg(portrait())


@cache
def slate(text: str, kind: str = "qr") -> bytes:
    luma, _ = frame_with(
        Slate(text, kind, share=0.25), "bowl", (1500, 1000), Taken(), np.random.default_rng(3)
    )
    return jpeg(luma)


@pytest.fixture
def session(folder: Path) -> Path:
    Record(folder).open()
    setups.put_list(folder, [Setup("Bowl", "4006381333931"), Setup("The maker")], "list")
    return folder


def where(folder: Path) -> dict[str, str | None]:
    reader = Reader(folder)
    known = {one.id: one.setup.name for one in reader.shot_list()[0]}
    return {row.name: known.get(row.setup) if row.setup else None for row in reader.rows_since(0)}


def test_a_slate_is_not_judged_and_says_what_it_opened(session: Path, watched: Begin) -> None:
    running = watched()
    write(session / "slate-1.jpg", slate("4006381333931", "ean13"))
    running.until_told(1)
    write(session / "one.jpg", SHARP)
    running.until_told(2)
    write(session / "slate-2.jpg", slate("Vase 7"))
    running.until_told(3)
    first, frame, other = running.told
    assert (first.verdict, first.cause, first.measurement) == (Verdict.UNJUDGED, None, None)
    assert (first.slate, first.setup) == ("4006381333931", "Bowl")
    assert first.advice == ("slate: opens Bowl",)
    assert frame.setup == "Bowl"
    assert other.advice == ("slate: opens Vase 7, which was not on the shot list",)
    # Slates alert nobody.
    assert [one.frame for one in running.alerted] == ["one"]
    assert [one.setup.name for one in Reader(session).progress().setups] == [
        *("Bowl", "The maker", "Vase 7"),
    ]
    assert [(row.name, row.slate) for row in Reader(session).rows_since(0)] == [
        *(("slate-1", "4006381333931"), ("one", None), ("slate-2", "Vase 7")),
    ]


@pytest.mark.parametrize("existing", [False, True])
def test_of_a_whole_flood_every_frame_finds_its_setup(
    session: Path, watched: Begin, existing: bool
) -> None:
    """The newest is judged first, so that slates come after the frames that follow them."""
    shoot = {"01": SHARP, "02": slate("The maker"), "03": SHARP, "04": SHARP}
    shoot |= {"05": slate("4006381333931", "ean13"), "06": SHARP, "07": slate("The maker")}
    shoot |= {"08": SHARP, "09": SHARP}
    expected = dict.fromkeys(shoot, "The maker") | {"01": None, "05": "Bowl", "06": "Bowl"}
    if existing:
        for name, picture in shoot.items():
            write(session / f"{name}.jpg", picture)
    running = watched(load("product"))
    if not existing:
        for name, picture in shoot.items():
            write(session / f"{name}.jpg", picture)
    until(lambda: where(session) == expected)
    until(lambda: len({one.frame for one in running.told}) == 9)
    told = {
        name: Reader(session).frame(row.id)
        for row in Reader(session).rows_since(0)
        for name in [row.name]
    }
    assert {name: one["setup"] for name, one in told.items() if one} == expected


@pytest.mark.parametrize(("codes", "verdict"), [("none", Verdict.SHARP), ("listed", Verdict.SHARP)])
def test_codes_that_are_not_to_be_used_leave_the_frame_a_frame(
    session: Path, watched: Begin, codes: str, verdict: Verdict
) -> None:
    settings = load("product")
    chosen = settings.slate.model_copy(update={"codes": codes})
    running = watched(settings.model_copy(update={"slate": chosen}))
    write(session / "pack.jpg", slate("Vase 7"))
    running.until_told(1)
    (one,) = running.told
    assert (one.slate, one.setup) == ("", None)
    assert one.measurement is not None
    assert len(Reader(session).shot_list()[0]) == 2
    said = " ".join(one.notes)
    assert ("not on the shot list" in said) == (codes == "listed")
    if codes == "listed":
        write(session / "slate.jpg", slate("the maker"))
        running.until_told(2)
        assert running.told[1].setup == "The maker"


def test_a_slate_may_say_next(session: Path, watched: Begin) -> None:
    running = watched(Settings())
    for nth in range(3):
        write(session / f"slate-{nth}.jpg", slate("NEXT"))
        running.until_told(nth + 1)
    assert [one.advice[0] for one in running.told] == [
        "slate: opens Bowl, the next on the shot list",
        "slate: opens The maker, the next on the shot list",
        "slate not used: The maker is the last setup on the list",
    ]
    assert len(Reader(session).shot_list()[0]) == 2


def test_a_setup_that_a_slate_opened_by_mistake_can_be_removed(
    session: Path, watched: Begin
) -> None:
    running = watched(Settings())
    write(session / "slate-1.jpg", slate("Blow"))
    running.until_told(1)
    turns.turn_to(session, "Bowl", "screen")
    wrong = Reader(session).shot_list()[0][2]
    setups.remove(session, wrong.id)
    assert [one.setup.name for one in Reader(session).shot_list()[0]] == ["Bowl", "The maker"]
    write(session / "one.jpg", SHARP)
    running.until_told(2)
    assert where(session) == {"slate-1": None, "one": "Bowl"}


@pytest.mark.parametrize("code", ["NEXT", "The maker"])
def test_a_slate_that_is_saved_anew_does_not_turn_the_session_back(
    session: Path, watched: Begin, code: str
) -> None:
    running = watched(Settings())
    turns.turn_to(session, "Bowl", "screen")
    picture = slate(code)
    write(session / "slate.jpg", picture)
    running.until_told(1)
    assert running.told[0].setup == "The maker"
    turns.turn_to(session, "Bowl", "screen")
    write(session / "slate.jpg", picture + b"\0\0\0\0")  # as a program may that adds a note
    running.until_told(2)
    write(session / "one.jpg", SHARP)
    running.until_told(3)
    assert where(session) == {"slate": "The maker", "one": "Bowl"}
