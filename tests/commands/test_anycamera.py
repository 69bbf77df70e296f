"""`--camera` may stand alone, wherever it stands."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import pytest
import typer
from typer.testing import CliRunner

from tether.arrivals.camera.messages import ANY
from tether.commands.anycamera import CameraCommand

app = typer.Typer()


@app.command(cls=CameraCommand)
def told(
    folder: Annotated[Path, typer.Argument()],
    camera: Annotated[str | None, typer.Option()] = None,
    headless: bool = False,
) -> None:
    print(folder.name, camera, headless)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["FOLDER"], "None False"),
        (["FOLDER", "--camera"], f"{ANY} False"),
        (["--camera", "FOLDER"], f"{ANY} False"),
        (["FOLDER", "--camera", "--headless"], f"{ANY} True"),
        (["--camera", "--", "FOLDER"], f"{ANY} False"),
        (["FOLDER", "--camera", "ptpip:10.0.0.7"], "ptpip:10.0.0.7 False"),
        (["--camera=1002345", "FOLDER"], "1002345 False"),
        (["--camera", "1002345", "--", "FOLDER"], "1002345 False"),
    ],
)
def test_its_value_may_be_left_out(folder: Path, words: list[str], told: str) -> None:
    done = CliRunner().invoke(app, [str(folder) if word == "FOLDER" else word for word in words])
    assert done.output.strip() == f"{folder.name} {told}"
