"""Walking a folder finds its pictures and gets lost nowhere."""

import os
from pathlib import Path

import pytest

from tests.arrivals.pictures import jpeg
from tether.arrivals.sweep import pictures_below, sweep
from tether.arrivals.whole import look_at


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    for name in ("b.jpg", "a.NEF", "sub/c.tif", "sub/deep/d.png", ".hidden/e.jpg", "notes.txt"):
        path = tmp_path / "tree" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(jpeg(500))
    return tmp_path / "tree"


def test_pictures_below_come_in_the_order_of_their_names(tree: Path) -> None:
    names = [str(path.relative_to(tree)) for path in pictures_below(tree)]
    assert names == ["a.NEF", "b.jpg", "sub/c.tif", "sub/deep/d.png"]


def test_links_to_folders_are_not_followed(tree: Path, tmp_path: Path) -> None:
    (tmp_path / "outside").mkdir()
    (tmp_path / "outside" / "x.jpg").write_bytes(jpeg(500))
    (tree / "loop").symlink_to(tree)
    (tree / "out").symlink_to(tmp_path / "outside")
    assert len(list(pictures_below(tree))) == 4
    assert len(list(sweep(str(tree)))) == 4


def test_links_to_files_and_nothing_that_is_no_file(tree: Path) -> None:
    (tree / "link.jpg").symlink_to("b.jpg")
    (tree / "broken.jpg").symlink_to("nowhere.jpg")
    (tree / "folder.jpg").mkdir()
    if hasattr(os, "mkfifo"):
        os.mkfifo(tree / "pipe.jpg")
    names = {path.name for path in pictures_below(tree)}
    assert names == {"a.NEF", "b.jpg", "c.tif", "d.png", "link.jpg"}


def test_a_sweep_sees_what_a_look_sees(tree: Path) -> None:
    (tree / "link.jpg").symlink_to("b.jpg")
    found = dict(sweep(str(tree)))
    assert len(found) == 5
    assert all(look_at(path) == look for path, look in found.items())


def test_a_folder_that_is_not_there_holds_nothing(tmp_path: Path) -> None:
    assert list(pictures_below(tmp_path / "none")) == []
    assert list(sweep(str(tmp_path / "none"))) == []


def test_what_is_known_is_left_out(tree: Path) -> None:
    assert str(tree / "b.jpg") not in dict(sweep(str(tree), known={str(tree / "b.jpg")}))
