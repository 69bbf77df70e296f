"""A folder's subfolders become setups."""

from __future__ import annotations

import logging
import os
from pathlib import Path

import pytest

from tether.model import Setup
from tether.session.shot_list.folders import from_folder


def made(folder: Path, *names: str) -> Path:
    for name in names:
        (folder / name).mkdir()
    return folder


def test_subfolders_are_setups_in_natural_order(tmp_path: Path) -> None:
    made(tmp_path, "bowl 10", "Bowl 2", "bowl 1", "maker", "Plate", "bowl 007")
    told = [one.name for one in from_folder(tmp_path)]
    assert told == ["bowl 1", "Bowl 2", "bowl 007", "bowl 10", "maker", "Plate"]
    assert from_folder(tmp_path)[0] == Setup("bowl 1", needed=1)


def test_what_the_watch_does_not_look_into_is_left_out(tmp_path: Path) -> None:
    session = made(tmp_path, "session") / "session"
    made(session, "bowl", ".hidden", "@eaDir")
    made(session / "bowl", "rim")
    made(tmp_path, "elsewhere")
    (session / "outside").symlink_to(tmp_path / "elsewhere")
    (session / "inside").symlink_to(session / "bowl")
    (session / "IMG_1.jpg").write_bytes(b"")
    assert [one.name for one in from_folder(session)] == ["bowl"]


def test_cameras_folders_are_left_out(tmp_path: Path) -> None:
    made(tmp_path, "left", "above", "bowl")
    assert [one.name for one in from_folder(tmp_path, ["left", "above"])] == ["bowl"]


def test_names_that_no_setup_can_have_are_left_out_and_said(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    made(tmp_path, "NEXT", "bowl", "BOWL", "x" * 101, "a\nb")
    (tmp_path / os.fsdecode(b"\xff")).mkdir()
    with caplog.at_level(logging.WARNING):
        found = from_folder(tmp_path)
    assert [one.name for one in found] == ["BOWL"]
    assert len(caplog.messages) == 5
    assert all(message.isprintable() for message in caplog.messages)


def test_a_folder_that_is_not_there_has_none(tmp_path: Path) -> None:
    assert from_folder(tmp_path / "gone") == ()
