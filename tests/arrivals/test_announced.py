"""When to stop believing that events come from a folder."""

from tether.arrivals.announced import GRACE, Unannounced


def test_files_of_two_sweeps_without_an_event_are_enough() -> None:
    unannounced = Unannounced()
    unannounced.found("a", 0.0)
    assert not unannounced.no_events_come(GRACE + 1)
    unannounced.found("b", 10.0)
    assert not unannounced.no_events_come(10.0 + GRACE / 2)
    assert unannounced.no_events_come(10.0 + GRACE * 2)


def test_many_files_of_one_sweep_are_not() -> None:
    unannounced = Unannounced()
    for path in "abcdef":
        unannounced.found(path, 0.0)
    assert not unannounced.no_events_come(60.0)


def test_an_event_that_comes_a_little_later_excuses_the_file() -> None:
    unannounced = Unannounced()
    for swept in (0.0, 2.0, 4.0):
        unannounced.found("a", swept)
        unannounced.told("a")
    assert not unannounced.no_events_come(60.0)


def test_events_that_start_anew_are_given_a_new_chance() -> None:
    unannounced = Unannounced()
    unannounced.found("a", 0.0)
    unannounced.no_events_come(60.0)
    unannounced.clear()
    unannounced.found("b", 60.0)
    assert not unannounced.no_events_come(120.0)
