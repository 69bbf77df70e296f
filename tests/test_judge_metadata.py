"""What metadata tells reaches the judgement, and what it costs is said there."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

from tests.commands.test_check import EXPOSURE, check, lines
from tests.frame.xmp import embedded, region, regions
from tests.pictures import jpeg, portrait
from tests.test_judge import asked
from tether.frame.file import FileIdentity
from tether.judge import judge_whole
from tether.model import FocusMode, Judgement, Source, Verdict
from tether.session.record import Entry, Record
from tether.settings import Camera, Settings, load

OTHERS = regions(region("Face", "x=0.5 y=0.5 w=0.1 h=0.1"), size=(6000, 4000))
MANUAL = {
    "Exif.Image.Make": "Canon",
    "Exif.CanonCs.FocusMode": "3",
    "Exif.CanonCs.ImageStabilization": "1",
    "Exif.CanonFi.FocusDistanceUpper": "132",
    "Exif.CanonFi.FocusDistanceLower": "132",
}


def judged(path: Path, settings: Settings | None = None) -> Judgement:
    return judge_whole(asked(path), settings or Settings()).judgement


def test_a_region_beside_the_picture_is_where_it_is_judged(folder: Path) -> None:
    path = folder / "maker.jpg"
    path.write_bytes(jpeg(portrait()))
    # About where the face is.
    (folder / "maker.xmp").write_bytes(
        regions(region("Face", "x=0.46 y=0.22 w=0.3 h=0.3"), size=(512, 512))
    )
    # A portrait's eye would come first.
    found = judged(path, load("product"))
    assert found.area is not None
    assert found.area.source is Source.REGION_METADATA
    assert (found.verdict, found.notes) == (Verdict.SHARP, ())


def test_another_pictures_sidecar_is_noted_and_the_frame_judged(folder: Path) -> None:
    path = folder / "bowl.jpg"
    path.write_bytes(jpeg(portrait()))
    (folder / "bowl.xmp").write_bytes(OTHERS)
    found = judged(path)
    assert found.verdict is Verdict.SHARP
    assert found.notes == ("bowl.xmp is left aside: it is of 6000 x 4000 px",)
    assert found.error is None


def test_a_script_hears_of_it_on_standard_error_alone(folder: Path) -> None:
    path = folder / "bowl.jpg"
    path.write_bytes(jpeg(portrait()))
    (folder / "bowl.xmp").write_bytes(OTHERS)
    found = check("--json", path)
    (line,) = lines(found)
    assert (line["verdict"], line["error"]) == ("sharp", None)
    assert "bowl.xmp is left aside: it is of 6000 x 4000 px" in found.stderr
    assert "bowl.xmp is left aside" in check(path).stdout


def test_metadata_that_would_grow_costs_itself(folder: Path) -> None:
    path = folder / "bowl.jpg"
    path.write_bytes(embedded(jpeg(portrait()), b"<a>" * 20_000))
    assert judged(path).verdict is Verdict.SHARP


def test_how_it_was_focused_is_known_and_the_contract_keeps_its_keys(folder: Path) -> None:
    path = folder / "bowl.jpg"
    path.write_bytes(jpeg(portrait(blur_sigma=4), MANUAL))
    found = judged(path)
    assert found.exposure.focus_mode is FocusMode.MANUAL
    assert found.exposure.focus_distance_m == 1.32
    assert found.exposure.stabilised is True
    (line,) = lines(check("--json", path))
    assert list(line["exposure"]) == EXPOSURE


def test_a_look_at_the_record_finds_it_too(folder: Path) -> None:
    path = folder / "bowl.jpg"
    path.write_bytes(jpeg(portrait(), MANUAL))
    (folder / "bowl.xmp").write_bytes(OTHERS)
    record = Record(folder)
    record.add(Entry(judged(path), Path("bowl.jpg"), FileIdentity(1, 1, 1, 1), None))
    record.close()
    with sqlite3.connect(record.path) as opened:
        (told,) = opened.execute("SELECT evidence FROM frames").fetchone()
    evidence = json.loads(told)
    assert evidence["focusing"] == "manual focus at 1.32 m, stabiliser on"
    assert evidence["notes"] == ["bowl.xmp is left aside: it is of 6000 x 4000 px"]


def test_settings_tell_the_pitch_where_the_file_does_not(folder: Path) -> None:
    settings = Settings(camera=Camera(pixel_pitch_um=4.3))
    path = folder / "bowl.jpg"
    path.write_bytes(jpeg(portrait()))
    assert judged(path, settings).exposure.pixel_pitch_um == 4.3
    told = {"Exif.Photo.FocalPlaneXResolution": "423333/100"}
    path.write_bytes(jpeg(portrait(), told))
    assert judged(path, settings).exposure.pixel_pitch_um == 6.0
