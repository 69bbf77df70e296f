"""Where a frame came from, its name, and how the record names its file."""

from __future__ import annotations

from pathlib import Path

import pytest

from tether.session.roots import Roots, why_not_together

HOME, SHELF, WHEEL = Path("/shoot/table"), Path("/shoot/shelf"), Path("/other/wheel")


def test_one_folder_says_nothing_of_whose_a_frame_is() -> None:
    roots = Roots(HOME)
    path = HOME / "bowls" / "DSC_0001.JPG"
    assert roots.name(path) == "bowls/DSC_0001"
    assert roots.camera(path) is None
    assert roots.below(path) == roots.inside(path) == Path("bowls/DSC_0001.JPG")
    assert roots.within(path) == HOME


def test_frames_of_a_further_folder_begin_with_its_name_and_keep_their_whole_path() -> None:
    roots = Roots(HOME, [SHELF, WHEEL])
    path = WHEEL / "bowls" / "DSC_0001.JPG"
    assert roots.name(path) == "wheel/bowls/DSC_0001"
    assert roots.camera(path) == "wheel"
    assert roots.below(path) == path
    assert roots.inside(path) == Path("bowls/DSC_0001.JPG")
    assert roots.within(path) == WHEEL
    assert roots.home / roots.below(path) == path
    own = HOME / "DSC_0001.JPG"
    assert (roots.name(own), roots.camera(own)) == ("DSC_0001", "table")
    assert roots.below(own) == Path("DSC_0001.JPG")


def test_a_camera_of_several_fills_its_own_folder_in_the_sessions() -> None:
    roots = Roots(HOME, cameras=["left", "above"])
    path = HOME / "left" / "bowls" / "DSC_0001.JPG"
    assert roots.name(path) == "left/bowls/DSC_0001"
    assert roots.camera(path) == "left"
    assert roots.below(path) == Path("left/bowls/DSC_0001.JPG")
    assert roots.inside(path) == roots.inside(roots.below(path)) == Path("bowls/DSC_0001.JPG")
    assert roots.within(path) == HOME
    assert roots.camera(HOME / "DSC_0001.JPG") is None
    assert roots.camera(HOME / "leftovers" / "DSC_0001.JPG") is None


def test_folders_of_one_name_are_told_apart() -> None:
    roots = Roots(HOME, [Path("/a/DCIM"), Path("/b/dcim"), Path("/c/table")], ["dcim"])
    assert [one.camera for one in roots.origins] == ["table", "dcim", "DCIM-2", "dcim-3", "table-2"]


def test_a_name_is_not_that_of_a_folder_in_the_sessions(tmp_path: Path) -> None:
    (home := tmp_path / "table").mkdir()
    (home / "shelf").mkdir()
    assert Roots(home, [tmp_path / "shelf"]).origins[1].camera == "shelf-2"


def test_a_name_is_safe_to_print() -> None:
    assert Roots(HOME, [Path("/a/sh\x1belf")]).origins[1].camera == r"sh\x1belf"


def test_a_file_of_a_folder_that_is_not_watched_now_keeps_its_path() -> None:
    roots = Roots(HOME)
    path = SHELF / "bowls" / "DSC_0001.JPG"
    assert roots.below(path) == path
    assert roots.inside(path) == Path("DSC_0001.JPG")
    assert roots.camera(path) is None


@pytest.mark.parametrize("order", [1, -1])
def test_a_folder_in_another_is_refused_whatever_the_order(tmp_path: Path, order: int) -> None:
    (inner := tmp_path / "table" / "bowls").mkdir(parents=True)
    told = why_not_together([tmp_path / "table", inner][::order])
    assert told == f"{inner} lies in {tmp_path / 'table'}, which is watched with all folders in it"


def test_the_same_folder_twice_is_refused_by_any_name(tmp_path: Path) -> None:
    (folder := tmp_path / "table").mkdir()
    (link := tmp_path / "link").symlink_to(folder)
    assert "is the same folder as" in why_not_together([folder, folder])
    assert "is the same folder as" in why_not_together([folder, link])
    (tmp_path / "table-2").mkdir()
    assert why_not_together([folder, tmp_path / "table-2"]) == ""
