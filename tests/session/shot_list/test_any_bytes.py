"""Whatever stands in a file, reading it gives a shot list or a refusal in words."""

from __future__ import annotations

import csv
import io
import unicodedata
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.session.shot_list.lists import PRESETS, written
from tether.model import Setup
from tether.plain import plain
from tether.session.shot_list.problems import ShotListError
from tether.session.shot_list.read import ShotList, read
from tether.session.shot_list.spelling import folded

ONE_FOLDER = settings(
    max_examples=200,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)

# Pieces of lists, so that more than the first check is reached.
CSV_PIECES = ["name", "code", "sharp", "area", ",", ";", "\t", '"', "\r\n", "=", "sep=;\n", "é"]
TOML_PIECES = ["[[setup]]\n", "name = ", "\n", "[", "{", "'''", "#", "0.4", "1,2,3,4", "NEXT", "\0"]
PIECES = st.sampled_from([*CSV_PIECES, *TOML_PIECES, "\ufeff"])
TEXT = st.lists(PIECES | st.text(max_size=6), max_size=40).map("".join)
BYTES = st.binary(max_size=300) | TEXT.map(lambda text: text.encode("utf-8", "surrogatepass"))


@pytest.mark.parametrize("name", ["list.csv", "list.toml", "list.txt"])
@ONE_FOLDER
@given(data=BYTES)
def test_any_bytes_are_a_list_or_refused(tmp_path: Path, name: str, data: bytes) -> None:
    path = written(tmp_path, data, name)
    try:
        found = read(path, PRESETS)
    except ShotListError as refusal:
        lines = str(refusal).split("\n")
        assert 1 <= len(lines) <= 11
        assert all(line and line.isprintable() for line in lines)
    else:
        assert isinstance(found, ShotList)
        assert len({folded(one.name) for one in found.setups}) == len(found.setups) > 0


def is_title(text: str) -> bool:
    safe = plain(text) == text == text.strip() and folded(text) not in {"", "next"}
    return safe and text[0] not in "=+@#" and not unicodedata.category(text[0]).startswith("M")


TITLES = st.text(st.characters(exclude_categories=["C"]), min_size=1, max_size=30).filter(is_title)
AREAS = st.none() | st.tuples(
    st.integers(0, 9000), st.integers(0, 9000), st.integers(1, 9000), st.integers(1, 9000)
)
SETUPS = st.builds(
    Setup,
    name=TITLES,
    needed=st.integers(0, 999),
    preset=st.sampled_from([None, *PRESETS]),
    area=AREAS,
    notes=TITLES | st.just(""),
)


@ONE_FOLDER
@given(
    setups=st.lists(SETUPS, min_size=1, max_size=8, unique_by=lambda one: folded(one.name)),
    separator=st.sampled_from(",;\t"),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_setups_survive_the_csv_modules_writing(
    tmp_path: Path, setups: list[Setup], separator: str, encoding: str
) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator)
    writer.writerow(["name", "sharp", "preset", "area", "notes"])
    for one in setups:
        area = ",".join(map(str, one.area or ()))
        writer.writerow([one.name, one.needed, one.preset or "", area, one.notes])
    read_back = read(written(tmp_path, out.getvalue().encode(encoding)), PRESETS).setups
    assert [one.name for one in read_back] == [one.name for one in setups]
    assert [" ".join(one.notes.split()) for one in setups] == [one.notes for one in read_back]
    for back, one in zip(read_back, setups, strict=True):
        assert (back.needed, back.preset, back.area) == (one.needed, one.preset, one.area)
