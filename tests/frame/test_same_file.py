"""A file that is opened again is the one that was read, to the byte and to the end."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tether.frame.same_file import Changed, proof, same

DATA = bytes(20_000_000)


def test_a_file_that_stands_there_unchanged_is_read_by_its_name(tmp_path: Path) -> None:
    path = tmp_path / "bowl.tif"
    path.write_bytes(DATA)
    with same(proof(DATA, path)) as name:
        assert Path(name).read_bytes() == DATA


def test_another_of_the_same_size_is_another(tmp_path: Path) -> None:
    path = tmp_path / "bowl.tif"
    told = proof(DATA, path)
    changed = bytearray(DATA)
    changed[7_777_777] = 1
    path.write_bytes(changed)
    os.utime(path, (0, 0))
    with pytest.raises(Changed), same(told):
        pytest.fail("it was taken for the same")


def test_what_changes_while_it_is_open_was_not_read(tmp_path: Path) -> None:
    path = tmp_path / "bowl.tif"
    path.write_bytes(DATA)
    os.utime(path, (0, 0))
    with pytest.raises(Changed), same(proof(DATA, path)), path.open("r+b") as file:
        file.write(b"glaze")


def test_a_failure_over_a_file_that_changed_is_a_change(tmp_path: Path) -> None:
    path = tmp_path / "bowl.tif"
    path.write_bytes(DATA)
    with pytest.raises(Changed), same(proof(DATA, path)):
        os.truncate(path, 7)
        raise ValueError("it ends too early")
