"""What was delivered is remembered, in little room."""

from tether.arrivals.delivered import Delivered
from tether.frame.file import FileIdentity


def test_inode_size_and_time_tell_whether_a_file_is_the_one_that_was_delivered() -> None:
    delivered = Delivered()
    delivered.note("/a.jpg", FileIdentity(1, 30, 10, 20))
    assert delivered.knows("/a.jpg", FileIdentity(1, 30, 10, 20))
    assert not delivered.knows("/a.jpg", FileIdentity(1, 99, 10, 20))
    assert not delivered.knows("/a.jpg", FileIdentity(1, 30, 11, 20))
    assert not delivered.knows("/a.jpg", FileIdentity(1, 30, 10, 21))
    assert not delivered.knows("/b.jpg", FileIdentity(1, 30, 10, 20))


def test_after_another_mount_size_and_time_decide() -> None:
    delivered = Delivered()
    delivered.note("/a.jpg", FileIdentity(1, 30, 10, 20))
    delivered.mounted_anew()
    assert delivered.knows("/a.jpg", FileIdentity(2, 99, 10, 20))
    delivered.note("/a.jpg", FileIdentity(2, 99, 10, 20))
    assert not delivered.knows("/a.jpg", FileIdentity(2, 98, 10, 20))


def test_where_inodes_mean_nothing_size_and_time_decide() -> None:
    delivered = Delivered()
    delivered.note("/a.jpg", FileIdentity(1, 30, 10, 20))
    assert delivered.another_inode("/a.jpg", FileIdentity(1, 31, 10, 20))
    delivered.renumbering()
    assert delivered.knows("/a.jpg", FileIdentity(1, 31, 10, 20))


def test_a_file_saved_anew_many_times_takes_the_room_of_one() -> None:
    delivered = Delivered()
    for time in range(100):
        delivered.note("/a.jpg", FileIdentity(1, 30, 10, time))
    assert not delivered.was_whole(FileIdentity(1, 30, 10, 98))
    assert delivered.was_whole(FileIdentity(1, 30, 10, 99))
