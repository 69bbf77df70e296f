"""A session's frames are measured against one of their own: chosen, or the sharpest so far."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pytest

from tests.pictures import jpeg, portrait, write
from tests.session.made import until
from tests.session.running import Begin, Running
from tether.model import Judgement, Verdict
from tether.session import references
from tether.session.overrules import overrule
from tether.session.reader import Reader, Row
from tether.session.references import Key, NoReference
from tether.session.schema import NAME, RecordError
from tether.session.turns import turn_to
from tether.settings import Settings

ONE = Settings.model_validate({"watch": {"workers": 1}, "limit": {"edge_width_px": 6.0}})
WIDE = {"Exif.Photo.FNumber": "28/10", "Exif.Photo.LensModel": "Studio 85mm f/1.8"}
STOPPED_DOWN = {**WIDE, "Exif.Photo.FNumber": "8/1"}


def frame(folder: Path, name: str, sigma: float = 0.0, tags: dict[str, str] | None = None) -> Path:
    """A frame of one subject, blurred by a Gaussian, with grain of its own."""
    light = portrait(sigma).astype(float)
    grain = np.random.default_rng(sum(name.encode())).normal(0, 1.0, light.shape)
    picture = np.clip(light + grain, 0, 255).astype(np.uint8)
    return write(folder / f"{name}.jpg", jpeg(picture, tags or WIDE))


def shot(running: Running, *frames: tuple[str, float]) -> list[Judgement]:
    """Take frames one after the other, each when the one before was told; all that were told."""
    for name, sigma in frames:
        frame(running.folder, name, sigma)
        running.until_told(len(running.told) + 1)
    return running.told


def row(folder: Path, name: str) -> Row:
    return next(one for one in Reader(folder).rows_since(0) if one.name == name)


def against(judgement: Judgement) -> str | None:
    return judgement.against.frame if judgement.against else None


def test_the_first_sharp_frame_is_the_reference_until_one_is_surely_sharper(
    folder: Path, watched: Begin
) -> None:
    told = shot(watched(ONE), ("a", 9.0), ("b", 1.5), ("c", 2.5), ("d", 0.0), ("e", 1.5))
    assert told[0].verdict is Verdict.SOFT
    assert [against(one) for one in told] == [None, None, "b", "b", "d"]
    soft, sharper, last = (one.relative_blur for one in told[2:])
    assert soft and soft > 1.2
    assert sharper and sharper < 0.9
    assert last and last > 1.2


def test_a_frame_within_the_limit_stays_sharp_and_says_how_many_times_wider_it_is(
    folder: Path, watched: Begin
) -> None:
    told = shot(watched(ONE), ("a", 0.3), ("b", 1.4))
    assert [one.verdict for one in told] == [Verdict.SHARP, Verdict.SHARP]
    assert told[0].advice == ()
    (line,) = told[1].advice
    assert "times as wide as the reference a: refocus and compare." in line


def test_as_sharp_is_no_reason_to_change_the_reference(folder: Path, watched: Begin) -> None:
    told = shot(watched(ONE), *((name, 1.0) for name in "abcd"))
    assert [against(one) for one in told] == [None, "a", "a", "a"]
    assert [one.relative_blur for one in told[1:]] == pytest.approx([1, 1, 1], abs=0.05)


def test_the_record_keeps_ratio_interval_and_which_frame_it_was(
    folder: Path, watched: Begin
) -> None:
    told = shot(watched(ONE), ("a", 0.5), ("b", 2.0))
    reader, a, b = Reader(folder), row(folder, "a"), row(folder, "b")
    line, kept = reader.frame(b.id), reader.evidence(b.id).against
    assert line is not None and told[1].relative_blur is not None
    assert kept is not None and kept.ratio_95 is not None
    assert line["relative_blur"] == pytest.approx(told[1].relative_blur, abs=0.001)
    assert (kept.frame, kept.number, kept.reason) == ("a", a.id, "")
    assert kept.ratio_95[0] < line["relative_blur"] < kept.ratio_95[1]
    beside = reader.reference_of(b.id)
    assert beside is not None
    assert (beside.number, beside.name, beside.crop) == (a.id, "a", reader.crop(a.id))
    assert reader.reference_of(a.id) is None
    assert reader.evidence(a.id).against is None


def test_another_aperture_has_another_reference(folder: Path, watched: Begin) -> None:
    running = watched(ONE)
    for name, tags in (("a", WIDE), ("b", STOPPED_DOWN), ("c", WIDE), ("d", STOPPED_DOWN)):
        frame(folder, name, 0.5, tags)
        running.until_told(len(running.told) + 1)
    assert [against(one) for one in running.told] == [None, None, "a", "b"]


def test_a_chosen_reference_comes_before_a_sharper_one_until_it_is_let_go(
    folder: Path, watched: Begin
) -> None:
    running = watched(ONE)
    shot(running, ("a", 0.5), ("b", 2.0))
    references.choose(folder, row(folder, "b").id)
    assert against(shot(running, ("c", 0.5))[-1]) == "b"
    assert against(shot(running, ("d", 0.5))[-1]) == "b"
    references.let_go(folder, row(folder, "d").id)
    assert against(shot(running, ("e", 0.5))[-1]) == "a"


def test_after_a_restart_the_references_are_what_they_were(folder: Path, watched: Begin) -> None:
    running = watched(ONE)
    shot(running, ("a", 0.5), ("b", 2.0))
    references.choose(folder, row(folder, "b").id)
    running.end()
    again = watched(ONE)
    assert against(shot(again, ("c", 0.5))[-1]) == "b"


@pytest.mark.parametrize("fate", ["gone", "saved anew", "damaged"])
def test_where_a_reference_cannot_be_read_the_sharpest_takes_its_place_and_a_note_says_so(
    folder: Path, watched: Begin, fate: str
) -> None:
    first = watched(ONE)
    shot(first, ("a", 0.5), ("b", 2.0))
    references.choose(folder, row(folder, "b").id)
    first.end()
    # While nobody watches: the record knows the file as it was.
    path = folder / "b.jpg"
    if fate == "gone":
        path.unlink()
    else:
        path.write_bytes(path.read_bytes()[:3000] if fate == "damaged" else b"\xff\xd8 other")
    again = watched(ONE)
    if fate != "gone":
        again.until_told(1)  # it is judged anew
    frame(folder, "c", 0.5)
    until(lambda: any(one.frame == "c" for one in again.told))
    (told,) = (one for one in again.told if one.frame == "c")
    assert told.verdict is Verdict.SHARP
    assert against(told) == "a"
    assert told.notes[0].startswith("the reference b is left aside: ")
    frame(folder, "d", 0.5)
    until(lambda: any(one.frame == "d" for one in again.told))
    (after,) = (one for one in again.told if one.frame == "d")
    assert (against(after), after.notes) == ("a", ())


def test_a_reference_that_is_renamed_stays_the_reference(folder: Path, watched: Begin) -> None:
    running = watched(ONE)
    shot(running, ("a", 0.5))
    (folder / "a.jpg").rename(folder / "bowl.jpg")
    until(lambda: Reader(folder).rows_since(0)[0].name == "bowl")
    assert against(shot(running, ("b", 0.5))[-1]) == "bowl"


def test_a_reference_saved_anew_and_soft_is_none_any_more(folder: Path, watched: Begin) -> None:
    running = watched(ONE)
    shot(running, ("a", 0.5), ("b", 0.8))
    shot(running, ("a", 9.0))
    assert running.told[-1].verdict is Verdict.SOFT
    assert against(shot(running, ("c", 0.5))[-1]) == "b"


def test_the_sharpest_so_far_gives_way_once_it_is_overruled_as_soft(
    folder: Path, watched: Begin
) -> None:
    running = watched(ONE)
    shot(running, ("a", 0.3), ("b", 0.6))
    overrule(folder, row(folder, "a").id, Verdict.SOFT, "she blinked", feed=False)
    assert against(shot(running, ("c", 0.6))[-1]) == "b"
    kept = references.sharpest_so_far(
        Reader(folder).reference_candidates(
            Key.of(None, None, running.told[0].exposure), named=True
        )
    )
    assert kept is not None and kept.name == "b"


def test_setups_have_references_of_their_own(folder: Path, watched: Begin) -> None:
    running = watched(ONE)
    until((folder / NAME).exists)
    turn_to(folder, "bowls", "command")
    shot(running, ("a", 0.3))
    turn_to(folder, "makers", "command")
    shot(running, ("b", 0.6), ("c", 0.6))
    turn_to(folder, "bowls", "command")
    shot(running, ("d", 0.6))
    assert [against(one) for one in running.told] == [None, None, "b", "a"]
    assert [one.setup for one in running.told] == ["bowls", "makers", "makers", "bowls"]


def test_a_backlog_judged_newest_first_ends_with_the_sharpest(folder: Path, watched: Begin) -> None:
    for name, sigma in (("a", 2.0), ("b", 0.3), ("c", 2.0), ("d", 2.0)):
        frame(folder, name, sigma)
    running = watched(ONE)
    running.until_told(4)
    assert against(shot(running, ("e", 2.0))[-1]) == "b"


def test_frames_of_something_else_are_not_compared_and_say_why(
    folder: Path, watched: Begin
) -> None:
    from skimage import data

    running = watched(ONE)
    shot(running, ("a", 0.5))
    write(folder / "cup.jpg", jpeg(np.ascontiguousarray(data.coffee()[:, 44:556][:400]), WIDE))
    running.until_told(2)
    other = np.ascontiguousarray(np.rot90(portrait()))
    write(folder / "turned.jpg", jpeg(other, WIDE))
    running.until_told(3)
    reasons = [one.against.reason for one in running.told[1:] if one.against]
    assert reasons[0] == "the reference is of another size, 512 x 512 px"
    assert reasons[1] == "the two frames do not show the same thing here"
    assert [one.relative_blur for one in running.told] == [None, None, None]


def test_what_cannot_be_a_reference_is_refused(folder: Path, watched: Begin) -> None:
    with pytest.raises(RecordError, match="there is no record here"):
        references.choose(folder, 1)
    running = watched(ONE)
    write(folder / "plain.jpg", jpeg(np.full((512, 512), 128, np.uint8)))
    running.until_told(1)
    with pytest.raises(NoReference, match="nothing on it was measured"):
        references.choose(folder, row(folder, "plain").id)
    with pytest.raises(NoReference, match="not in the record any more"):
        references.choose(folder, 99)
    references.let_go(folder, 99)
    references.let_go(folder, row(folder, "plain").id)


def test_screens_may_choose_while_frames_come(folder: Path, watched: Begin) -> None:
    running = watched(ONE)
    shot(running, ("a", 0.5), ("b", 1.0))
    numbers = [row(folder, name).id for name in "ab"]
    ended = threading.Event()

    def choosing() -> None:
        while not ended.is_set():
            for number in numbers:
                references.choose(folder, number)

    thread = threading.Thread(target=choosing)
    thread.start()
    try:
        told = shot(running, *((name, 1.0) for name in "cdef"))
    finally:
        ended.set()
        thread.join()
    assert all(against(one) in {"a", "b"} for one in told[2:])
    assert all(one.error is None for one in told)
