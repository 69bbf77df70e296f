"""Every screen gets the newest state, and none of them can hold up another or take room."""

from __future__ import annotations

import asyncio

from tether.second_screen.hub import IN_ALL, OF_ONE, Hub


async def test_a_new_screen_has_the_whole_state_at_once() -> None:
    hub = Hub()
    hub.publish(b"one")
    box = hub.open("192.0.2.1")
    assert box is not None
    assert await box.take(0.1) == b"one"
    assert await box.take(0.01) is None


async def test_what_is_newer_takes_the_place_of_what_was_not_fetched() -> None:
    hub = Hub()
    slow, quick = hub.open("192.0.2.1"), hub.open("192.0.2.2")
    assert slow is not None
    assert quick is not None
    seen = []
    for nth in range(1000):
        hub.publish(b"%d" % nth)
        seen.append(await quick.take(0.1))
    assert seen == [b"%d" % nth for nth in range(1000)]
    assert await slow.take(0.1) == b"999"
    assert await slow.take(0.01) is None


async def test_a_screen_that_waits_is_woken() -> None:
    hub = Hub()
    box = hub.open("192.0.2.1")
    assert box is not None
    await box.take(0.1)
    waiting = asyncio.create_task(box.take(5.0))
    await asyncio.sleep(0.01)
    hub.publish(b"news")
    assert await asyncio.wait_for(waiting, 1.0) == b"news"


async def test_a_thousand_of_one_address_leave_the_others_alone() -> None:
    counts: list[int] = []
    hub = Hub(counts.append)
    other = hub.open("192.0.2.1")
    opened = [hub.open("192.0.2.66") for _ in range(1000)]
    assert len(hub) == OF_ONE + 1
    assert other is not None
    assert not other.ended
    # The newest are served: it may be a tablet that comes back again and again.
    last = opened[-OF_ONE:]
    assert all(box is not None and not box.ended for box in last)
    assert max(counts) == OF_ONE + 1


async def test_of_too_many_in_all_the_next_is_refused() -> None:
    hub = Hub()
    for nth in range(IN_ALL):
        assert hub.open(f"192.0.2.{nth}") is not None
    assert hub.full
    assert hub.open("198.51.100.1") is None
    hub.end()
    assert len(hub) == 0
