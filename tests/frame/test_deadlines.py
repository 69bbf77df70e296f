"""Steps that take too long are told of, others are not, in any order and number."""

from __future__ import annotations

import threading
import time

from tether.frame.deadlines import Deadlines


def test_a_step_that_takes_too_long_is_told_of_once_and_others_are_not() -> None:
    deadlines, told = Deadlines(), list[str]()
    with deadlines.within(30, lambda: told.append("long")):
        for _ in range(100):
            with deadlines.within(0.2, lambda: told.append("short")):
                pass
        late = threading.Event()
        with deadlines.within(0.05, late.set):
            assert late.wait(5)
        late.clear()
        time.sleep(0.2)
    assert told == []
    assert not late.is_set()


def test_steps_side_by_side_have_a_deadline_each() -> None:
    deadlines, late = Deadlines(), [threading.Event() for _ in range(8)]

    def step(nth: int) -> None:
        with deadlines.within(0.05 if nth % 2 else 30, late[nth].set):
            if nth % 2:
                assert late[nth].wait(5)

    threads = [threading.Thread(target=step, args=(nth,)) for nth in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [one.is_set() for one in late] == [bool(nth % 2) for nth in range(8)]
