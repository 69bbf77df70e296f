"""A name from the camera can be anything; what it becomes is one plain name in one folder."""

from __future__ import annotations

import errno
import os
from itertools import islice
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tether.arrivals.camera import naming
from tether.arrivals.camera.messages import OnCard


@given(st.text() | st.from_regex(r"(\.\./|/|\\|~|\.)*DSC_\d{4}\.JPG", fullmatch=True))
def test_it_is_one_name_in_one_folder(name: str) -> None:
    safe = naming.safe(name)
    assert safe
    assert PurePosixPath(safe).name == safe
    assert PureWindowsPath(safe).name == safe
    assert not safe.startswith(".")
    assert len(os.fsencode(safe)) <= 200


@pytest.mark.parametrize("name", ["DSC_0001.JPG", "_MG_0001.CR3", "P5140001.ORF", "bowl 1-2.jpg"])
def test_a_cameras_ordinary_name_stays(name: str) -> None:
    assert naming.safe(name) == name


def test_a_long_name_keeps_its_ending() -> None:
    assert naming.safe("D" * 400 + ".JPG").endswith("D.JPG")
    assert len(os.fsencode(naming.safe("é" * 400 + ".JPG"))) <= 200


def test_taken_names_are_numbered() -> None:
    assert list(islice(naming.stems("DSC_0001"), 3)) == ["DSC_0001", "DSC_0001-2", "DSC_0001-3"]


def test_a_part_is_hidden_and_its_own(folder: Path) -> None:
    parts = {
        naming.part(folder, camera, OnCard("/DCIM", name, size, time))
        for camera in ("Studio One 1", "Studio One 2")
        for name in ("DSC_0001.JPG", "DSC_0001.NEF")
        for size in (1, 2)
        for time in (1, 2)
    }
    assert len(parts) == 16
    assert all(part.name.startswith(".") and part.parent == folder for part in parts)
    some = min(parts)
    some.touch()
    assert naming.parts(folder) == [some]


def _no_links(*_: object) -> None:
    raise OSError(errno.EPERM, "Operation not permitted")


@pytest.mark.parametrize("links", [True, False])
def test_a_file_is_placed_only_where_nothing_is(
    folder: Path, links: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`links` is False on file systems of cards (exFAT), where link(2) fails with EPERM."""
    if not links:
        monkeypatch.setattr(os, "link", _no_links)
    whole, final = folder / ".part", folder / "DSC_0001.JPG"
    whole.write_bytes(b"whole")
    naming.place(whole, final)
    assert final.read_bytes() == b"whole"
    assert not whole.exists()
    whole.write_bytes(b"another")
    with pytest.raises(FileExistsError):
        naming.place(whole, final)
    assert final.read_bytes() == b"whole"
    assert whole.read_bytes() == b"another"


@pytest.mark.parametrize("links", [True, False])
def test_in_a_folder_that_is_gone_nothing_is_placed(
    folder: Path, links: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not links:
        monkeypatch.setattr(os, "link", _no_links)
    whole = folder / ".part"
    whole.write_bytes(b"whole")
    with pytest.raises(OSError):
        naming.place(whole, folder / "gone" / "DSC_0001.JPG")
    assert whole.read_bytes() == b"whole"
