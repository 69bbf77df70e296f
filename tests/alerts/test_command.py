"""A command of one's own gets the facts, and cannot harm the watch whatever it does."""

from __future__ import annotations

import json
import logging
import os
import threading
from pathlib import Path

import pytest

from tests.alerts.programs import alive, appending, hanging, written
from tests.session.made import judgement, until
from tether import contract
from tether.alerts.channel import answers
from tether.alerts.command import Command
from tether.alerts.message import Message
from tether.model import Verdict

SOFT = Message(judgement(Path("/studio"), "bowl-0001", Verdict.SOFT), more=3)


def test_it_gets_the_contracts_line_on_standard_input(tmp_path: Path) -> None:
    assert Command([appending(tmp_path)], 10).send(SOFT) is None
    assert json.loads((tmp_path / "heard.jsonl").read_text()) == contract.as_dict(SOFT.judgement)


def test_no_shell_reads_its_arguments(tmp_path: Path) -> None:
    program = written(
        tmp_path, "told.py", f"open({str(tmp_path / 'told')!r}, 'w').write(sys.argv[1])"
    )
    assert Command([program, "$HOME; echo `id` *"], 10).send(SOFT) is None
    assert (tmp_path / "told").read_text() == "$HOME; echo `id` *"


def test_its_environment_is_the_stated_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("STUDIO_PASSWORD", "glaze")
    text = f"import json; json.dump(dict(os.environ), open({str(tmp_path / 'env')!r}, 'w'))"
    assert Command([written(tmp_path, "env.py", text)], 10).send(SOFT) is None
    found = json.loads((tmp_path / "env").read_text())
    assert "STUDIO_PASSWORD" not in found
    assert (found["TETHER_ALERT"], found["TETHER_MORE"]) == ("soft", "3")
    assert found["PATH"] == os.environ["PATH"]


def test_what_it_prints_goes_to_the_log(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "tether.alerts")
    program = written(
        tmp_path,
        "say.py",
        "print('lamp is red', flush=True); print('\\x1b[2Jor not', file=sys.stderr)",
    )
    assert Command([program], 10).send(SOFT) is None
    said = [record.getMessage() for record in caplog.records]
    assert said == ["command say.py: lamp is red", "command say.py: \\x1b[2Jor not"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("sys.exit(1)", "ended with status 1"),
        ("os.kill(os.getpid(), 9)", "was ended by signal 9"),
        ("sys.stdin.close(); time.sleep(0.1)", None),  # reads nothing
        ("while True: os.write(1, b'x' * 65536)", "printed more than 1 MB and was ended"),
        ("os.close(0); os.close(1); os.close(2)", None),
    ],
)
def test_however_it_ends_it_is_said(tmp_path: Path, text: str, why: str | None) -> None:
    assert Command([written(tmp_path, "one.py", text)], 10).send(SOFT) == why


def test_one_that_never_ends_is_ended_with_all_it_started(tmp_path: Path) -> None:
    assert Command([hanging(tmp_path)], 1).send(SOFT) == "took longer than 1 s and was ended"
    assert len((tmp_path / "pids").read_text().split()) == 2
    until(lambda: not alive(tmp_path))


def test_one_that_leaves_a_child_behind_is_done_and_the_child_ended(tmp_path: Path) -> None:
    text = (
        "child = subprocess.Popen(['sleep', '600'])\n"
        f"open({str(tmp_path / 'pids')!r}, 'w').write(str(child.pid))"
    )
    assert Command([written(tmp_path, "leave.py", text)], 10).send(SOFT) is None
    assert (tmp_path / "pids").read_text()
    until(lambda: not alive(tmp_path))


def test_it_can_be_ended_from_another_thread(tmp_path: Path) -> None:
    command = Command([hanging(tmp_path)], 60)
    why: list[str | None] = []
    sending = threading.Thread(target=lambda: why.append(command.send(SOFT)))
    sending.start()
    until(lambda: len(alive(tmp_path)) == 2)
    command.close()
    sending.join(10)
    assert why == ["was ended: the watch is left"]
    until(lambda: not alive(tmp_path))
    assert command.send(SOFT) == "was ended: the watch is left"


def test_whether_it_answers_is_seen_without_running_it(tmp_path: Path) -> None:
    good = Command([appending(tmp_path)], 10)
    assert answers(good) is None
    assert not (tmp_path / "heard.jsonl").exists()
    assert answers(good, SOFT) is None
    assert (tmp_path / "heard.jsonl").exists()
    (tmp_path / "no program").write_text("just text")
    for program, why in (
        (str(tmp_path), "is a folder, not a program"),
        (str(tmp_path / "none"), "does not exist"),
        (str(tmp_path / "no program"), "is no program that can be run from here"),
        ("no-such-program-anywhere", "is no program that can be run from here"),
    ):
        bad = Command([program], 10)
        assert answers(bad) == f"command {Path(program).name} {why}"
        assert "cannot be started" in (bad.send(SOFT) or "")


def test_a_frame_with_any_name_is_told(tmp_path: Path) -> None:
    odd = judgement(tmp_path, os.fsdecode(b"b\xf6wl\n\x1b]0;"), Verdict.SOFT)
    assert Command([appending(tmp_path)], 10).send(Message(odd)) is None
    told = json.loads((tmp_path / "heard.jsonl").read_text())
    assert told["frame"] == odd.frame
