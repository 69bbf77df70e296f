"""What `--camera` names, once or several times."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer

from tether.arrivals.camera.messages import ANY
from tether.commands.cameras import Tethered, cameras


def test_one_camera_needs_no_name_and_may_have_one(folder: Path) -> None:
    assert cameras(["1002345"], folder) == (Tethered("1002345"),)
    assert cameras(["left=Studio One"], folder) == (Tethered("Studio One", "left"),)
    assert cameras(["left="], folder) == (Tethered(ANY, "left"),)
    assert cameras(["left=1002345"], folder)[0].asked == "left=1002345"


def test_of_several_each_has_a_name(folder: Path) -> None:
    asked = ["left=1002345", "Studio One", "ptpip:10.0.0.7", "usb:001,004", "PTPIP:[::1]:15741"]
    assert [one.name for one in cameras(asked, folder)] == [
        "left",
        "Studio One",
        "10.0.0.7",
        "usb-001,004",
        "[--1]-15741",
    ]
    assert cameras([ANY, "ptpip:10.0.0.7"], folder)[0].name == "camera"


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (["1002345", "1002345"], "--camera 1002345 stands there twice"),
        ([ANY, ANY], "stands there twice"),
        (["left=1", "LEFT=2"], "two cameras are called LEFT"),
        (["left=1", "left"], "two cameras are called left"),
        (["a/b=1"], "'a/b' is no name for a camera's folder; expected --camera NAME=WHICH"),
        (["..=1"], "'..' is no name"),
        ([".hidden=1"], "'.hidden' is no name"),
        (["=1"], "'' is no name"),
        (["@eaDir=1"], "'@eaDir' is no name"),
        ([f"{'x' * 61}=1"], "is no name"),
        (["le\x1bft=1"], r"'le\x1bft' is no name"),
    ],
)
def test_what_cannot_be_is_refused(folder: Path, asked: list[str], told: str) -> None:
    with pytest.raises(typer.BadParameter) as caught:
        cameras(asked, folder)
    assert told in str(caught.value)
    assert str(caught.value).isprintable()


def test_frames_go_into_a_folder_that_the_watch_looks_into(folder: Path) -> None:
    (folder / "left").write_text("notes")
    (folder / "above").symlink_to(folder)
    (folder / "right").mkdir()
    for name in ("left", "above"):
        with pytest.raises(typer.BadParameter, match="no folder or a link"):
            cameras([f"{name}=1"], folder)
    assert cameras(["right=1"], folder)[0].name == "right"
    assert sorted(one.name for one in folder.iterdir()) == ["above", "left", "right"]
