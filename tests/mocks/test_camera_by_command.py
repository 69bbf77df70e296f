"""Debian's gphoto2 program, written by others, sees what the camera that is not there holds."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from mocks.camera.camera import Camera
from tests.pictures import jpeg, portrait

HELD = {
    "DSC_0001.JPG": jpeg(portrait()),
    "DSC_0001.NEF": bytes(range(256)) * 3000,
    "DSC_0002.JPG": jpeg(portrait(blur_sigma=3)),
}


@pytest.fixture
def camera() -> Camera:
    if shutil.which("gphoto2") is None:
        pytest.skip("the gphoto2 program is not installed (Debian: gphoto2)")
    return Camera()


def asked(camera: Camera, home: Path, *arguments: str) -> str:
    """What the program prints; its own settings go to a home of their own."""
    home.mkdir(exist_ok=True)
    # Its library (2.5.30) takes the port for events apart from the one for commands.
    at = ["--port", f"ptpip:127.0.0.1:{camera.port}:{camera.port}", "--camera", "PTP/IP Camera"]
    told = subprocess.run(
        ["gphoto2", "--quiet", *at, *arguments],
        cwd=home,
        env={**os.environ, "HOME": str(home), "LC_ALL": "C"},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert told.returncode == 0, told.stdout + told.stderr
    return told.stdout


def test_it_lists_the_same_names(camera: Camera, tmp_path: Path) -> None:
    with camera:
        camera.press(HELD)
        told = asked(camera, tmp_path / "home", "--list-files")
        for name in HELD:
            assert re.search(rf"\b{re.escape(name)}\b", told), told


def test_it_fetches_every_byte(camera: Camera, tmp_path: Path) -> None:
    home = tmp_path / "home"
    with camera:
        camera.press(HELD)
        asked(camera, home, "--get-all-files")
    got = {path.name: path.read_bytes() for path in home.iterdir() if path.is_file()}
    assert got == HELD


def test_it_reads_the_model_and_the_serial_number(camera: Camera, tmp_path: Path) -> None:
    with camera:
        told = asked(camera, tmp_path / "home", "--summary")
    assert "Studio One" in told
    assert "KS-0042" in told
