"""`tether check --explain` draws what a verdict rests on, and touches nothing of the user's."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from mocks.raw import dng, mosaic
from tests.commands.test_check import check, lines
from tests.pictures import jpeg, portrait, write
from tests.sharpness.pictures import light
from tether.commands.explain import write_new
from tether.session.schema import NAME


@pytest.fixture
def shoot(folder: Path) -> Path:
    write(folder / "a-sharp.jpg", jpeg(portrait()))
    write(folder / "b-soft.jpg", jpeg(portrait(blur_sigma=4)))
    return folder


@pytest.fixture
def to(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, where we are."""
    made = tmp_path / "drawn"
    made.mkdir()
    monkeypatch.chdir(made)
    return made


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_picture_a_frame_lands_where_we_are_and_nothing_beside_the_frames(
    shoot: Path, to: Path
) -> None:
    before = {path.name: path.read_bytes() for path in shoot.iterdir()}
    found = check("--explain", shoot)
    assert found.exit_code == 1
    assert names(to) == ["a-sharp-evidence.png", "b-soft-evidence.png"]
    assert {path.name: path.read_bytes() for path in shoot.iterdir()} == before
    for path in to.iterdir():
        Image.open(io.BytesIO(path.read_bytes())).verify()
        assert f"drawn in {path}" in found.stdout
    assert found.stdout.count("edge width by direction, px (95 %)") == 2
    assert found.stdout.count("165°") == 2


def test_of_a_raw_it_is_told_what_was_judged(folder: Path, to: Path) -> None:
    write(folder / "bowl.dng", dng(mosaic(light(portrait())), jpeg(portrait())))
    assert "judged from the embedded JPEG, 512 x 512 px\n" in check("--explain", folder).stdout


def test_what_each_source_said_of_where_to_look_is_told(shoot: Path, to: Path) -> None:
    told = check("--explain", shoot / "a-sharp.jpg").stdout
    assert "camera focus point: the file names no focus point of a camera\n" in told
    assert "frame centre: the middle of the frame\n" in told


def test_a_name_that_is_taken_is_left_alone(shoot: Path, to: Path) -> None:
    (to / "a-sharp-evidence.png").write_bytes(b"mine")
    for _ in range(2):
        check("--explain", shoot / "a-sharp.jpg")
    taken = ["a-sharp-evidence-2.png", "a-sharp-evidence-3.png", "a-sharp-evidence.png"]
    assert names(to) == taken
    assert (to / "a-sharp-evidence.png").read_bytes() == b"mine"


def test_a_link_by_that_name_is_not_followed(to: Path, shoot: Path) -> None:
    (to / "bowl-evidence.png").symlink_to(shoot / "not there yet.jpg")
    assert write_new(to, "bowl", b"png").name == "bowl-evidence-2.png"
    assert not (shoot / "not there yet.jpg").exists()


def test_another_folder_can_be_named(shoot: Path, to: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    check("--explain", "--to", other, shoot / "a-sharp.jpg")
    assert (names(other), names(to)) == (["a-sharp-evidence.png"], [])


def test_json_stays_alone_on_standard_output(shoot: Path, to: Path) -> None:
    found = check("--explain", "--json", shoot)
    assert [line["frame"] for line in lines(found)] == ["a-sharp", "b-soft"]
    assert found.stderr.count("drawn in ") == 2
    assert len(names(to)) == 2


def test_a_file_that_cannot_be_read_gets_its_line_and_no_picture(shoot: Path, to: Path) -> None:
    write(shoot / "broken.jpg", jpeg(portrait())[:9000])
    found = check("--explain", shoot / "broken.jpg", shoot / "a-sharp.jpg")
    assert found.exit_code == 1
    assert "cut short" in found.stdout
    assert names(to) == ["a-sharp-evidence.png"]


def test_a_folder_that_cannot_be_written_is_said(shoot: Path, to: Path) -> None:
    to.chmod(0o500)
    if os.access(to, os.W_OK):
        # Permission stops nobody here: a name too long for any file system is refused to all.
        write(shoot / f"{'n' * 244}.jpg", jpeg(portrait()))
        path, why = shoot / f"{'n' * 244}.jpg", "too long"
    else:
        path, why = shoot / "a-sharp.jpg", "Permission denied"
    found = check("--explain", "--json", path)
    to.chmod(0o700)
    assert found.exit_code == 2
    assert lines(found)[0]["verdict"] == "sharp"
    assert "no picture of " in found.stderr
    assert why in found.stderr
    assert names(to) == []


def test_where_some_picture_is_written_the_status_is_the_verdicts(shoot: Path, to: Path) -> None:
    write(shoot / f"{'n' * 244}.jpg", jpeg(portrait()))
    (shoot / "b-soft.jpg").unlink()
    assert check("--explain", shoot).exit_code == 0
    assert names(to) == ["a-sharp-evidence.png"]


def test_no_picture_lands_in_a_session_where_it_would_be_a_frame(shoot: Path, to: Path) -> None:
    (shoot / NAME).touch()
    (shoot / "below").mkdir()
    for inside in (shoot, shoot / "below"):
        found = check("--explain", "--to", inside, shoot / "a-sharp.jpg")
        assert found.exit_code == 2
        assert "--to" in found.stderr
    assert not list(shoot.rglob("*.png"))


@pytest.mark.parametrize("wrong", [["--to", "."], ["--explain", "--to", "not there"]])
def test_a_folder_that_makes_no_sense_is_a_usage_error(
    shoot: Path, to: Path, wrong: list[str]
) -> None:
    assert check(*wrong, shoot).exit_code == 2


def test_the_drawing_library_is_loaded_for_a_drawing_alone(shoot: Path) -> None:
    code = (
        "import sys\nfrom typer.testing import CliRunner\nfrom tether.cli import app\n"
        f"CliRunner().invoke(app, ['check', {str(shoot)!r}])\n"
        "print('matplotlib' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    assert done.stdout == "False\n"
