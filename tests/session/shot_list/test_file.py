"""Which files are read at all, and what is said of those that are not."""

from __future__ import annotations

import ctypes
import os
import zipfile
from pathlib import Path
from threading import Thread

import pytest

from tests.session.shot_list.lists import PRESETS, refusal, setups, without_file, written
from tether.session.shot_list.problems import ShotListError
from tether.session.shot_list.read import read
from tether.settings import presets

DOCS = Path(__file__).parents[3] / "docs"


def refused(path: Path) -> str:
    with pytest.raises(ShotListError) as caught:
        read(path, PRESETS)
    (line,) = without_file(path, str(caught.value))
    return line


def test_the_two_examples_say_the_same(tmp_path: Path) -> None:
    toml = read(DOCS / "shot-list.toml", presets())
    table = read(DOCS / "shot-list.csv", presets())
    assert toml == table
    assert [one.needed for one in toml.setups] == [2, 1, 3]
    assert toml.notes == ()


def test_latin_1_is_refused_with_its_line_and_what_to_do(tmp_path: Path) -> None:
    data = "name,notes\r\nBowl,rim\r\nSchälchen,\r\n".encode("cp1252")
    (line,) = refusal(tmp_path, data)
    assert line.startswith("line 3: byte 0xE4 is not UTF-8; save it as UTF-8")
    with_mark = b"\xef\xbb\xbf" + data
    assert refusal(tmp_path, with_mark)[0].startswith("line 3: byte 0xE4 is not UTF-8")


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be", "utf-32"])
def test_wide_characters_without_their_mark_are_refused(tmp_path: Path, encoding: str) -> None:
    (line,) = refusal(tmp_path, "name\nBowl\n".encode(encoding))
    assert line.startswith("line 1: NUL characters")


def test_utf_16_that_breaks_off_is_refused(tmp_path: Path) -> None:
    (line,) = refusal(tmp_path, "name\nBowl\n".encode("utf-16")[:-1])
    assert "is not UTF-16" in line
    assert line.startswith("line 2: ")


def test_nul_characters_are_refused_with_their_line(tmp_path: Path) -> None:
    assert refusal(tmp_path, "name\nBow\0l\n")[0].startswith("line 2: NUL characters")


@pytest.mark.parametrize("name", ["list.csv", "list.toml"])
@pytest.mark.parametrize("content", ["", " \r\n \n", "\ufeff"])
def test_an_empty_file_is_refused(tmp_path: Path, name: str, content: str) -> None:
    assert refusal(tmp_path, content, name) == ["the file is empty"]


def test_a_spreadsheets_own_file_is_known_under_any_name(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    with zipfile.ZipFile(path, "w") as book:
        book.writestr("xl/workbook.xml", "<workbook/>")
    assert "a spreadsheet's own file" in refused(path)
    # The older format's first bytes: [MS-CFB] 2.2, the compound file's signature.
    old = written(tmp_path, bytes.fromhex("D0CF11E0A1B11AE1") + bytes(512), "old.csv")
    assert "save or export the list as CSV" in refused(old)


def test_another_kind_of_file_is_refused(tmp_path: Path) -> None:
    assert refusal(tmp_path, "name: Bowl\n", "list.yaml") == [
        "expected a file whose name ends with .toml or .csv"
    ]


def test_what_the_name_ends_with_may_be_in_capitals(tmp_path: Path) -> None:
    assert setups(tmp_path, "name\nBowl\n", "LIST.CSV")[0].name == "Bowl"
    assert setups(tmp_path, "name\tsharp\nBowl\t2\n", "list.tsv")[0].needed == 2


def test_a_large_file_is_refused(tmp_path: Path) -> None:
    assert refusal(tmp_path, b"name\n" + b"x" * 5_000_000) == ["5 MB is too large; at most 5 MB"]


def test_what_is_no_file_is_refused_and_nothing_waits(tmp_path: Path) -> None:
    assert "not there" in refused(tmp_path / "none.csv")
    (folder := tmp_path / "folder.csv").mkdir()
    assert "a folder, not a file" in refused(folder)
    os.mkfifo(pipe := tmp_path / "pipe.csv")
    assert "not a plain file" in refused(pipe)
    (link := tmp_path / "round.csv").symlink_to(link)
    assert "in a circle" in refused(link)
    assert "not a plain file" in refused(Path("/dev/zero"))


def test_what_may_not_be_read_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, "name\nBowl\n")
    path.chmod(0)
    said: list[str] = []

    def as_somebody_else() -> None:
        # Root may read anything; a thread whose file-system user is nobody may not.
        if os.geteuid() == 0:
            ctypes.CDLL(None).setfsuid(65534)
        said.append(refused(path))

    (thread := Thread(target=as_somebody_else)).start()
    thread.join()
    assert said == ["no permission to read it"]


def test_a_name_that_would_break_the_line_is_shown_safely(tmp_path: Path) -> None:
    path = written(tmp_path, "", "a\n\x1b[2J.csv")
    with pytest.raises(ShotListError) as caught:
        read(path, PRESETS)
    assert str(caught.value).isprintable()


def test_the_file_is_left_as_it_was(tmp_path: Path) -> None:
    path = written(tmp_path, "name\nBowl\n")
    before = path.stat()
    read(path, PRESETS)
    after = path.stat()
    assert (before.st_mtime_ns, before.st_size) == (after.st_mtime_ns, after.st_size)
    assert [one.name for one in tmp_path.iterdir()] == ["list.csv"]
