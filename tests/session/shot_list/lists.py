"""Shot lists for the tests, written as a file and read at once."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tether.model import Setup
from tether.session.shot_list.problems import ShotListError
from tether.session.shot_list.read import ShotList, read

PRESETS = ("portrait", "product")


def written(folder: Path, content: str | bytes, name: str = "list.csv") -> Path:
    data = content.encode() if isinstance(content, str) else content
    (path := folder / name).write_bytes(data)
    return path


def read_from(folder: Path, content: str | bytes, name: str = "list.csv") -> ShotList:
    return read(written(folder, content, name), PRESETS)


def setups(folder: Path, content: str | bytes, name: str = "list.csv") -> tuple[Setup, ...]:
    return read_from(folder, content, name).setups


def refusal(folder: Path, content: str | bytes, name: str = "list.csv") -> list[str]:
    """The lines of the refusal, each without the file's name, which they all begin with."""
    path = written(folder, content, name)
    with pytest.raises(ShotListError) as caught:
        read(path, PRESETS)
    return without_file(path, str(caught.value))


def without_file(path: Path, message: str) -> list[str]:
    lines = message.split("\n")
    *told, last = lines
    assert all(line.startswith(f"{path}: ") for line in told)
    assert last.startswith((f"{path}: ", "and "))
    return [line.removeprefix(f"{path}: ") for line in lines]


def rows(*lines: str, header: str = "name,code,sharp,preset,area,notes") -> str:
    return "\r\n".join((header, *lines)) + "\r\n"


def names(setups: Sequence[Setup]) -> list[str]:
    return [setup.name for setup in setups]
