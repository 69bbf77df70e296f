"""`tether check --against` compares every frame with a reference."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage
from skimage import data
from typer.testing import CliRunner, Result

from tests.pictures import jpeg, portrait, write
from tether.cli import app


def check(*arguments: object) -> Result:
    return CliRunner().invoke(app, ["check", *map(str, arguments)])


def lines(result: Result) -> list[dict[str, Any]]:
    return [json.loads(line) for line in result.stdout.splitlines()]


def shifted(blur_sigma: float, down: int, right: int) -> NDArray[np.uint8]:
    """The portrait elsewhere in the frame and a stop darker, blurred by a Gaussian."""
    light = np.roll(portrait(blur_sigma), (down, right), (0, 1)).astype(np.float64)
    return np.rint(light / 2**0.5).astype(np.uint8)


@pytest.fixture
def shoot(folder: Path) -> Path:
    write(folder / "a.jpg", jpeg(portrait()))
    write(folder / "b-moved.jpg", jpeg(shifted(0.0, 5, -8)))
    write(folder / "c-soft.jpg", jpeg(shifted(2.5, -3, 4)))
    write(folder / "d-other.jpg", jpeg(np.ascontiguousarray(data.camera())))
    return folder


def test_edges_are_told_as_multiples_of_the_references(shoot: Path) -> None:
    found = {
        one["frame"]: one["relative_blur"]
        for one in lines(check("--json", "--against", shoot / "a.jpg", shoot))
    }
    assert found["a"] == pytest.approx(1, abs=0.02)
    assert found["b-moved"] == pytest.approx(1, abs=0.05)
    assert found["c-soft"] > 1.8
    assert found["d-other"] is None


def test_a_soft_reference_makes_a_sharp_frame_less_than_1(shoot: Path) -> None:
    (line,) = lines(check("--json", "--against", shoot / "c-soft.jpg", shoot / "a.jpg"))
    assert line["relative_blur"] < 0.6


def test_without_a_reference_nothing_is_compared(shoot: Path) -> None:
    (line,) = lines(check("--json", shoot / "a.jpg"))
    assert line["relative_blur"] is None


def test_a_person_reads_softer_as_sharp_or_why_not(shoot: Path) -> None:
    said = check("--against", shoot / "a.jpg", shoot).stdout
    told = [line.strip() for line in said.splitlines() if "against the reference" in line]
    assert len(told) == 4
    assert "as sharp: 1.0" in told[0]
    assert "as sharp: " in told[1]
    assert "softer: " in told[2] and "times its edge width" in told[2]
    assert "not compared: the two frames do not show the same thing here" in told[3]


def test_the_verdict_and_the_exit_status_stay_the_frames_own(shoot: Path) -> None:
    alone, compared = (
        check("--json", *more, shoot) for more in ((), ("--against", shoot / "a.jpg"))
    )
    assert alone.exit_code == compared.exit_code
    assert [one["verdict"] for one in lines(alone)] == [one["verdict"] for one in lines(compared)]


def test_a_frame_of_another_size_is_not_compared(shoot: Path) -> None:
    small = np.asarray(ndimage.zoom(portrait(), (0.8, 0.8, 1), order=1))
    write(shoot / "e-small.jpg", jpeg(small))
    said = check("--against", shoot / "a.jpg", shoot / "e-small.jpg").stdout
    assert "the reference is of another size, 512 x 512 px" in said


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("not there.jpg", None, "not there"),
        ("broken.jpg", b"\xff\xd8 broken", "not a JPEG that can be read"),
        ("raw.nef", b"raw", "not a raw file that can be read"),
    ],
)
def test_a_reference_that_is_none_is_a_usage_error(
    shoot: Path, name: str, content: bytes | None, why: str
) -> None:
    if content is not None:
        write(shoot / name, content)
    found = check("--against", shoot / name, shoot / "a.jpg")
    assert found.exit_code == 2
    assert why in " ".join(found.stderr.replace("│", " ").split())


def test_help_says_what_a_reference_is() -> None:
    said = " ".join(check("--help").stdout.split())
    assert "--against" in said
    assert "the same subject from the same place" in said
