"""What was delivered is remembered, in little room."""

from pathlib import Path

from tether.arrivals.delivered import Delivered
from tether.arrivals.whole import Look


def test_size_and_time_decide_not_the_inode() -> None:
    delivered = Delivered()
    delivered.note("/a.jpg", Look(10, 20, 30))
    assert delivered.knows("/a.jpg", Look(10, 20, 99))
    assert not delivered.knows("/a.jpg", Look(11, 20, 30))
    assert not delivered.knows("/a.jpg", Look(10, 21, 30))
    assert not delivered.knows("/b.jpg", Look(10, 20, 30))


def test_a_former_name_is_one_that_nothing_has_any_more(tmp_path: Path) -> None:
    delivered = Delivered()
    here, gone = tmp_path / "here.jpg", tmp_path / "gone.jpg"
    here.touch()
    delivered.note(str(here), Look(1, 2, 3))
    delivered.note(str(gone), Look(4, 5, 6))
    assert delivered.former_name("/new.jpg", Look(1, 2, 3)) is None
    assert delivered.former_name("/new.jpg", Look(4, 5, 6)) == str(gone)
    assert delivered.former_name("/new.jpg", Look(4, 5, 7)) is None


def test_a_file_saved_anew_many_times_takes_the_room_of_one() -> None:
    delivered = Delivered()
    for time in range(100):
        delivered.note("/a.jpg", Look(1, time, 3))
    assert delivered.former_name("/b.jpg", Look(1, 98, 3)) is None
    assert delivered.former_name("/b.jpg", Look(1, 99, 3)) == "/a.jpg"
