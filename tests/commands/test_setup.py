"""`tether setup`, as a barcode gun or another program calls it."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from tether.cli import app
from tether.model import Setup
from tether.session import sessions, setups
from tether.session.lock import Lock
from tether.session.reader import Reader
from tether.session.record import Record


@pytest.fixture
def session(folder: Path) -> Path:
    Record(folder).open()
    setups.put_list(folder, [Setup("Bowl", "5901234123457"), Setup("The maker")], "list")
    return folder


def run(*arguments: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["setup", *arguments])
    return done.exit_code, done.output


def now(folder: Path) -> str | None:
    found = Reader(folder).progress()
    return next((one.setup.name for one in found.setups if one.id == found.current), None)


def test_it_finds_the_one_session_that_runs(session: Path) -> None:
    with Lock(session), sessions.noted(session):
        assert run("5901234123457") == (0, "Bowl\n")
        assert now(session) == "Bowl"
        assert run("NEXT") == (0, "The maker\n")
        assert run("next")[0] == 2
        assert now(session) == "The maker"
    assert sessions.watched() == []


def test_what_is_not_on_the_list_is_opened_and_that_is_said(session: Path) -> None:
    status, said = run("Vase", "7", "--folder", str(session))  # as whoever forgets the quotes
    assert (status, said) == (0, "Vase 7, which was not on the shot list\n")
    assert now(session) == "Vase 7"


def test_with_no_session_or_two_it_asks_which(session: Path, tmp_path: Path) -> None:
    status, said = run("Bowl")
    assert status == 2
    assert "no folder is watched now" in said
    other = tmp_path / "other"
    other.mkdir()
    with Lock(session), sessions.noted(session), Lock(other), sessions.noted(other):
        status, said = run("Bowl")
    assert status == 2
    assert "more than one folder is watched" in said
    assert now(session) is None


def test_a_killed_watchs_note_counts_for_nothing(session: Path) -> None:
    with sessions.noted(session):
        assert sessions.watched() == []


@pytest.mark.parametrize("code", ["", "  ", "a\x1b[31mb", "x" * 4000, "a\nb", "\ud800"])
def test_what_cannot_be_a_name_is_refused_in_a_line(session: Path, code: str) -> None:
    status, said = run("--folder", str(session), "--", code)
    assert status == 2
    assert "its name" in said
    assert "\x1b" not in said
    assert len(said) < 400
    assert now(session) is None


def test_a_folder_without_a_session_is_refused(tmp_path: Path) -> None:
    status, said = run("Bowl", "--folder", str(tmp_path))
    assert status == 2
    assert "no session" in said
    assert list(tmp_path.glob("*.sqlite")) == []
