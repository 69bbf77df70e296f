"""`tether check` judges files and folders, for a person and for a script."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import psutil
import pytest
from typer.testing import CliRunner, Result

from mocks import sensor
from mocks.raw import dng, mosaic
from mocks.scenes import bowl, compose
from mocks.slate import Slate, in_scene
from tests.pictures import jpeg, portrait, soft_in_the_middle, write
from tests.session.made import until
from tests.sharpness.pictures import light
from tether.cli import app

KEYS = [
    "schema", "file", "frame", "setup", "arrived", "judged", "latency_ms", "verdict", "cause",
    "edge_width_px", "edge_width_px_95", "edge_width_narrow_px", "edge_width_um", "limit_px",
    "relative_blur", "motion", "area", "sharpest", "exposure", "advice", "error",
]  # fmt: skip
EXPOSURE = ["shutter_s", "f_number", "focal_length_mm", "iso", "lens", "body", "pixel_pitch_um"]


def check(*arguments: object) -> Result:
    return CliRunner().invoke(app, ["check", *map(str, arguments)])


def lines(result: Result) -> list[dict[str, Any]]:
    return [json.loads(line) for line in result.stdout.splitlines()]


@pytest.fixture
def shoot(folder: Path) -> Path:
    write(folder / "a-sharp.jpg", jpeg(portrait()))
    write(folder / "b-soft.jpg", jpeg(portrait(blur_sigma=4)))
    write(folder / "c-broken.jpg", jpeg(portrait())[:9000])
    return folder


def test_every_key_of_the_contract_is_there_for_every_frame(shoot: Path) -> None:
    for line in lines(check("--json", shoot)):
        assert list(line) == KEYS
        assert list(line["exposure"]) == EXPOSURE
        assert line["schema"] == 1


def test_verdicts_come_in_the_order_of_the_files(shoot: Path) -> None:
    found = lines(check("--json", shoot))
    assert [one["frame"] for one in found] == ["a-sharp", "b-soft", "c-broken"]
    assert [one["verdict"] for one in found] == ["sharp", "soft", "unjudged"]
    assert found[2]["cause"] == "unreadable"
    assert found[0]["error"] is None


def test_a_soft_frame_has_one_line_and_it_is_the_whole_one(folder: Path) -> None:
    path = write(folder / "soft.jpg", jpeg(soft_in_the_middle()))
    (line,) = lines(check("--json", path))
    assert (line["verdict"], line["cause"]) == ("soft", "focus elsewhere")
    assert list(line["sharpest"]) == ["x", "y", "width", "height", "edge_width_px"]
    assert line["sharpest"]["edge_width_px"] < line["edge_width_px"]


def test_times_are_iso_8601_with_their_zone(shoot: Path) -> None:
    from datetime import datetime

    for line in lines(check("--json", shoot)):
        for key in ("arrived", "judged"):
            assert datetime.fromisoformat(line[key]).tzinfo is not None
        apart = datetime.fromisoformat(line["judged"]) - datetime.fromisoformat(line["arrived"])
        assert line["latency_ms"] == pytest.approx(apart.total_seconds() * 1000, abs=2)


@pytest.mark.parametrize(
    ("names", "status"),
    [
        (["a-sharp.jpg"], 0),
        (["a-sharp.jpg", "b-soft.jpg"], 1),
        (["a-sharp.jpg", "c-broken.jpg"], 1),
        (["c-broken.jpg"], 2),
        (["not there.jpg"], 2),
    ],
)
def test_the_exit_status_is_for_scripts(shoot: Path, names: list[str], status: int) -> None:
    assert check(*(shoot / name for name in names)).exit_code == status


def test_a_fixed_area_comes_before_every_other(shoot: Path) -> None:
    (line,) = lines(check("--json", "--area", "150,50,128,140", shoot / "a-sharp.jpg"))
    assert line["area"] == {"x": 150, "y": 50, "width": 128, "height": 140, "source": "fixed area"}


def test_a_fixed_area_may_be_given_in_fractions_of_the_frame(shoot: Path) -> None:
    # The frame is 512 x 512 px.
    (line,) = lines(check("--json", "--area", "0.25,0.125,0.25,0.375", shoot / "a-sharp.jpg"))
    assert line["area"] == {"x": 128, "y": 64, "width": 128, "height": 192, "source": "fixed area"}


def test_an_area_outside_the_frame_is_said(shoot: Path) -> None:
    (line,) = lines(check("--json", "--area", "900,50,128,128", shoot / "a-sharp.jpg"))
    assert line["verdict"] == "unjudged"
    assert "outside the frame of 512 x 512" in line["error"]


@pytest.mark.parametrize(
    "area",
    [
        "1,2,3",
        "a,b,c,d",
        "-1,0,5,5",
        "0,0,0,9",
        "",
        "0.4,0.3,0.1,1",
        "1.5,0.0,0.1,0.1",
        "nan,0,1,1",
    ],
)
def test_an_area_that_is_none_is_a_usage_error(shoot: Path, area: str) -> None:
    found = check(f"--area={area}", shoot)
    assert found.exit_code == 2
    assert "expected X,Y,W,H" in found.stderr


def test_a_raw_beside_its_jpeg_makes_no_second_line(shoot: Path) -> None:
    (shoot / "a-sharp.NEF").write_bytes(b"raw")
    (shoot / "lonely.cr2").write_bytes(b"raw")
    found = lines(check("--json", shoot))
    assert [one["frame"] for one in found] == ["a-sharp", "b-soft", "c-broken", "lonely"]
    assert "not a raw file that can be read" in found[3]["error"]


def test_a_folder_without_pictures_is_a_usage_error(folder: Path) -> None:
    found = check(folder)
    assert found.exit_code == 2
    assert "no picture" in found.stderr


def test_a_person_reads_verdict_width_and_what_to_change(shoot: Path) -> None:
    found = check(shoot).stdout
    assert "● sharp" in found
    assert "▲ SOFT" in found
    assert "Refocus on the" in found
    assert "cut short" in found


def test_a_preset_sets_the_limit(shoot: Path) -> None:
    limits = {
        name: lines(check("--json", "--preset", name, shoot / "a-sharp.jpg"))[0]["limit_px"]
        for name in ("portrait", "product")
    }
    assert limits == {"portrait": 4.0, "product": 3.5}


def test_a_print_sets_the_limit_of_each_frame(shoot: Path, tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_text("[limit]\nprint_width_cm = 6\nviewing_distance_cm = 50\n")
    (line,) = lines(check("--json", "--config", own, shoot / "a-sharp.jpg"))
    # 512 px on 60 mm and 0.1454 mm a minute of arc: 1.24 px; box and interpolation with them 1.96.
    assert line["limit_px"] == pytest.approx(1.96, abs=0.01)


def test_a_person_is_told_once_where_a_limit_comes_from(shoot: Path, tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_text("[limit]\nprint_width_cm = 6\nviewing_distance_cm = 50\n")
    found = check("--config", own, shoot).stdout
    assert found.count("print 6 cm long seen from 50 cm allows 1.2 px (1 arcmin)") == 1
    assert found.startswith("  limit       2.0 px: ")
    assert "set as edge_width_px" not in check("--json", shoot).stdout


def test_settings_of_ones_own_lie_over_the_presets(shoot: Path, tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_text("[limit]\nedge_width_px = 20.0\n")
    (line,) = lines(check("--json", "--config", own, shoot / "b-soft.jpg"))
    assert (line["limit_px"], line["verdict"]) == (20.0, "sharp")


def test_a_reader_that_goes_away_is_no_error(shoot: Path) -> None:
    command = [sys.executable, "-m", "tether", "check", "--json", str(shoot)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        running.stdout.close()
        assert running.stderr is not None
        assert b"Traceback" not in running.stderr.read()


def test_names_that_are_no_text_can_be_opened_again_from_the_line(folder: Path) -> None:
    odd = folder / os.fsdecode(b"b\xfcste\n.jpg")
    odd.write_bytes(jpeg(portrait()))
    done = subprocess.run(
        [sys.executable, "-m", "tether", "check", "--json", str(folder)],
        stdout=subprocess.PIPE,
    )
    (line,) = done.stdout.splitlines()
    assert Path(json.loads(line)["file"]).read_bytes() == odd.read_bytes()


@pytest.fixture(scope="module")
def slate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    light = compose(in_scene(bowl(), Slate("JAR 2", share=0.2)))
    picture = sensor.expose(light.copy(), 200, np.random.default_rng(1))
    return write(tmp_path_factory.mktemp("slate") / "slate.jpg", jpeg(picture))


def test_a_slate_is_said_to_be_one_and_fails_nothing(folder: Path, slate: Path) -> None:
    sharp = write(folder / "sharp.jpg", jpeg(portrait()))
    found = check(slate, sharp)
    assert found.exit_code == 0
    (line,) = [line for line in found.stdout.splitlines() if "slate" in line and "JAR" in line]
    assert "unjudged" in line and line.endswith("slate: JAR 2")
    assert check(slate).exit_code == 0
    soft = write(folder / "soft.jpg", jpeg(portrait(blur_sigma=4)))
    assert check(slate, soft).exit_code == 1


def test_a_script_gets_a_slate_as_a_frame_without_verdict_or_cause(slate: Path) -> None:
    found = check("--json", slate)
    (line,) = lines(found)
    assert list(line) == KEYS
    assert (line["verdict"], line["cause"], line["area"], line["error"]) == (
        "unjudged",
        *3 * [None],
    )
    assert line["advice"] == []
    assert "slate: slate: JAR 2" in found.stderr


def test_with_listed_codes_alone_nothing_is_a_slate_where_there_is_no_list(
    folder: Path, slate: Path
) -> None:
    own = folder / "mine.toml"
    own.write_text('[slate]\ncodes = "listed"\n')
    (line,) = lines(check("--json", "--config", own, slate))
    assert line["area"] is not None
    own.write_text('[slate]\ncodes = "some"\n')
    refused = check("--config", own, slate)
    assert refused.exit_code == 2
    assert "slate.codes" in refused.stderr


def decoders(pid: int) -> list[psutil.Process]:
    return [
        child
        for child in psutil.Process(pid).children()
        if any("tether.frame.decoding" in one for one in child.cmdline())
    ]


def test_interrupted_it_does_not_wait_for_a_file_that_hangs(folder: Path) -> None:
    raw = dng(mosaic(light(np.tile(portrait(), (3, 3, 1)))))
    for number in range(40):
        write(folder / f"bowl-{number:02}.dng", raw)
    with subprocess.Popen(
        [sys.executable, "-m", "tether", "check", str(folder)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as running:
        until(lambda: decoders(running.pid) != [])
        decoders(running.pid)[0].suspend()  # late after 20 s alone
        running.send_signal(signal.SIGINT)
        try:
            assert running.wait(10) != 0
        finally:
            running.kill()
