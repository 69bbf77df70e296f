"""The order in which frames are fetched: as they were taken, and raws when nothing else waits."""

from __future__ import annotations

from tether.arrivals.camera.messages import OnCard
from tether.arrivals.camera.waiting import Waiting


def on_card(name: str) -> OnCard:
    return OnCard("/DCIM/100KILNS", name, 1000, 1)


def drained(waiting: Waiting) -> list[str]:
    found = []
    while (file := waiting.take()) is not None:
        found.append(file.name)
    return found


def test_pictures_in_order_then_raws_in_order() -> None:
    waiting = Waiting()
    for name in ("1.NEF", "1.JPG", "2.NEF", "2.JPG", "3.CR3"):
        waiting.add(on_card(name))
    assert len(waiting) == 5
    assert drained(waiting) == ["1.JPG", "2.JPG", "1.NEF", "2.NEF", "3.CR3"]


def test_what_waits_already_does_not_wait_twice() -> None:
    waiting = Waiting()
    for _ in range(3):
        waiting.add(on_card("1.JPG"))
    assert drained(waiting) == ["1.JPG"]
    waiting.add(on_card("1.JPG"))
    assert drained(waiting) == ["1.JPG"]


def test_what_could_not_be_fetched_keeps_its_place() -> None:
    waiting = Waiting()
    for name in ("1.JPG", "2.JPG", "1.NEF"):
        waiting.add(on_card(name))
    first = waiting.take()
    assert first is not None
    waiting.put_back(first)
    assert drained(waiting) == ["1.JPG", "2.JPG", "1.NEF"]
