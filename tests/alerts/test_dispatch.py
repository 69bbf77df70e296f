"""Channels that fail or hang delay nobody, are tried again, and are shown until they work."""

from __future__ import annotations

import json
import threading
import time
from dataclasses import replace
from pathlib import Path

from tests.alerts.programs import alive, appending, hanging, written
from tests.session.made import judgement, until
from tether.alerts.channel import Telling
from tether.alerts.command import Command
from tether.alerts.dispatch import Dispatch, channels
from tether.alerts.message import Message
from tether.alerts.outbox import Outbox
from tether.alerts.reshoot import Reshoot
from tether.model import Cause, Judgement, Setup, Verdict
from tether.session.coverage import Coverage
from tether.settings import Alerts

EACH = Alerts(at_most_every_s=0.0)


def soft(nth: int = 0) -> Judgement:
    return judgement(Path("/studio"), f"bowl-{nth:04}", Verdict.SOFT, nth)


def heard(folder: Path) -> list[dict[str, object]]:
    path = folder / "heard.jsonl"
    return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


def test_a_soft_frame_is_told_with_its_cause_where_that_follows_soon(tmp_path: Path) -> None:
    asked = Alerts(command=[appending(tmp_path)])
    with Dispatch(asked) as dispatch:
        dispatch.verdict(replace(soft(), cause=None))
        time.sleep(0.3)
        assert heard(tmp_path) == []
        dispatch.whole(replace(soft(), cause=Cause.BACK_FOCUS))
        until(lambda: heard(tmp_path) != [])
    assert [one["cause"] for one in heard(tmp_path)] == ["back focus"]


def test_and_without_it_where_it_does_not(tmp_path: Path) -> None:
    with Dispatch(Alerts(command=[appending(tmp_path)])) as dispatch:
        dispatch.verdict(replace(soft(), cause=None))
        until(lambda: heard(tmp_path) != [])
    assert [one["cause"] for one in heard(tmp_path)] == [None]


def test_what_waits_when_the_watch_is_left_is_still_sent(tmp_path: Path) -> None:
    with Dispatch(Alerts(command=[appending(tmp_path)])) as dispatch:
        dispatch.verdict(soft())
    assert [one["frame"] for one in heard(tmp_path)] == ["bowl-0000"]


def test_a_channel_that_hangs_costs_the_others_nothing_and_leaving_two_seconds(
    tmp_path: Path,
) -> None:
    found = [Command([hanging(tmp_path)], 60), Command([appending(tmp_path)], 10)]
    with Dispatch(EACH, found) as dispatch:
        for nth in range(2000):
            dispatch.verdict(soft(nth))
            dispatch.whole(soft(nth))
        until(lambda: any(one["frame"] == "bowl-1999" for one in heard(tmp_path)))
        until(lambda: len(alive(tmp_path)) == 2)
        left = time.monotonic()
    # Two seconds are promised; the rest is for a slow machine, far from the program's sixty.
    assert time.monotonic() - left < 10
    until(lambda: not alive(tmp_path))


def test_a_channel_that_fails_is_tried_again_and_recovers_by_itself(tmp_path: Path) -> None:
    text = (
        f"tries = open({str(tmp_path / 'tries')!r}, 'a'); tries.write('x'); tries.flush()\n"
        f"sys.exit(0 if os.path.getsize(tries.name) > 2 else 3)"
    )
    outbox = Outbox(Command([written(tmp_path, "lamp.py", text)], 10), (0.3, 0.3))
    outbox.start()
    outbox.put(Message(soft()))
    until(lambda: outbox.failing == "command lamp.py ended with status 3")
    until(lambda: outbox.failing == "")
    assert (tmp_path / "tries").read_text() == "xxx"
    outbox.close()
    outbox.join(2)


def test_a_message_is_given_up_in_the_end_but_not_its_channel(tmp_path: Path) -> None:
    tries = tmp_path / "tries"
    text = f"open({str(tries)!r}, 'a').write('x'); sys.exit(os.path.exists({str(tries)!r}))"
    outbox = Outbox(Command([written(tmp_path, "lamp.py", text)], 10), (0.01,))
    outbox.start()
    outbox.put(Message(soft()))
    until(lambda: tries.exists() and tries.read_text() == "xxxx")
    time.sleep(0.3)
    assert tries.read_text() == "xxxx"
    assert outbox.failing
    outbox.put(Message(soft(1)))
    until(lambda: tries.read_text() == "xxxxxxxx")
    outbox.close()
    outbox.join(2)


def test_the_newest_message_wins_and_counts_those_that_nobody_got() -> None:
    sent: list[Telling] = []
    allowed = threading.Event()

    class Slow(Command):
        def send(self, message: Telling) -> str | None:
            sent.append(message)
            allowed.wait(10)
            return "is out of order" if len(sent) == 1 else None

    outbox = Outbox(Slow(["true"], 1), (0.01,))
    outbox.start()
    outbox.put(Message(soft(1)))
    until(lambda: len(sent) == 1)
    outbox.put(Message(soft(2), more=5))
    outbox.put(Message(soft(3)))
    allowed.set()
    until(lambda: len(sent) == 2)
    outbox.close()
    outbox.join(2)
    # Frames 1 and 2, and the five that were counted in the latter.
    titles = [(one.title, one.more) for one in sent]
    assert titles == [("bowl-0001: soft", 0), ("bowl-0003: soft", 7)]


def test_what_could_never_work_shows_before_the_first_alert(tmp_path: Path) -> None:
    with Dispatch(Alerts(command=[str(tmp_path / "none")])) as dispatch:
        until(lambda: dispatch.failing() == "command none does not exist")


def test_the_settings_name_the_channels() -> None:
    asked = Alerts.model_validate(
        {"command": ["lamp"], "notify": ["json://a:secret@b", "ntfy://c"]}
    )
    names = [one.name for one in channels(asked)]
    assert names == ["command lamp", "notification 1 (json://…)", "notification 2 (ntfy://…)"]
    assert channels(Alerts()) == []
    assert "secret" not in repr(asked)


def test_a_setup_left_uncovered_is_told_of_and_no_soft_frame_takes_its_place(
    tmp_path: Path,
) -> None:
    left = Coverage(3, Setup("The maker", needed=2, notes="near eye"), 1, 5)
    asked = Alerts(command=[appending(tmp_path)], at_most_every_s=0.0)
    with Dispatch(asked) as dispatch:
        dispatch.verdict(soft(1))
        dispatch.raised(left)
        for nth in range(2, 9):
            dispatch.verdict(soft(nth))
    told = heard(tmp_path)
    assert {"reshoot": {"setup": "The maker", "has": 1, "needs": 2}} in told
    assert told[-1]["frame"] == "bowl-0008"
    with Dispatch(asked.model_copy(update={"reshoot": False})) as dispatch:
        dispatch.raised(left)
    assert len(heard(tmp_path)) == len(told)


def test_a_reshoot_that_could_not_be_told_is_tried_again_but_not_for_ever() -> None:
    sent: list[Telling] = []

    class Broken(Command):
        def send(self, message: Telling) -> str | None:
            sent.append(message)
            return "is out of order"

        def check(self) -> str | None:
            return None

    outbox = Outbox(Broken(["lamp"], 1), (0.01,))
    outbox.start()
    outbox.put_reshoot(Reshoot(Coverage(3, Setup("The maker"), 0, 5)))
    until(lambda: len(sent) == 4)
    time.sleep(0.2)
    outbox.close()
    outbox.join(2)
    assert [one.title for one in sent] == ["reshoot The maker"] * 4
    assert sent[0].body == "0 of 1 sharp frame"
