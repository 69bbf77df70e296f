"""A CSV file becomes setups. What CSV is: RFC 4180; the rest is what spreadsheets write."""

from __future__ import annotations

import codecs
import csv
import io
from pathlib import Path

import pytest

from tests.session.shot_list.lists import names, read_from, refusal, rows, setups
from tether.model import Setup

FULL = Setup(
    name="Tea bowl, front",
    code="BOWL-01",
    needed=2,
    preset="product",
    area=(0.4, 0.35, 0.1, 0.12),
    notes='rim and "signature"',
)
QUOTED = '"Tea bowl, front",BOWL-01,2,product,"0.4,0.35,0.1,0.12","rim and ""signature"""'


def test_every_column_becomes_what_it_says(tmp_path: Path) -> None:
    # RFC 4180, section 2, rules 5 to 7: quotes around commas, doubled inside quotes.
    assert setups(tmp_path, rows(QUOTED)) == (FULL,)


def test_only_a_name_is_needed_and_one_sharp_frame_is_the_default(tmp_path: Path) -> None:
    assert setups(tmp_path, "name\nBowl\n") == (Setup("Bowl"),)
    assert setups(tmp_path, rows("Bowl,,,,,")) == (Setup("Bowl"),)
    assert setups(tmp_path, rows("Bowl,,0,,,"))[0].needed == 0
    assert setups(tmp_path, rows("Bowl,,999,,,"))[0].needed == 999


def test_the_last_line_may_lack_its_end_and_lines_may_end_either_way(tmp_path: Path) -> None:
    # RFC 4180, section 2, rule 2; line feeds alone are what editors write.
    for end in ("\r\n", "\n", "\r"):
        text = end.join(("name,sharp", "Bowl,2", "Plate,3"))
        assert [one.needed for one in setups(tmp_path, text)] == [2, 3]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_what_the_csv_module_writes_is_read_back(tmp_path: Path, separator: str) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator)
    writer.writerow(["Notes", " AREA ", "Preset", "Sharp", "Code", "Name"])
    area = ",".join(map(str, FULL.area or ()))
    writer.writerow([FULL.notes, area, FULL.preset, FULL.needed, FULL.code, FULL.name])
    assert setups(tmp_path, out.getvalue()) == (FULL,)


# The forms in which spreadsheets save a table, set down from memory: with semicolons where the
# comma is the decimal sign, with a byte order mark, as "Unicode text" (UTF-16, tabs), and with
# a line before all others that names the separator.
@pytest.mark.parametrize(
    "data",
    [
        codecs.BOM_UTF8 + "Name;Code;Sharp;Area\r\nSchälchen;B1;2;0.4,0.35,0.1,0.12\r\n".encode(),
        'Name,Code,Sharp,Area\nSchälchen,B1,2,"0.4,0.35,0.1,0.12"\n'.encode(),
        'Name\tCode\tSharp\tArea\r\nSchälchen\tB1\t2\t"0.4,0.35,0.1,0.12"\r\n'.encode("utf-16"),
        codecs.BOM_UTF16_BE
        + "Name\tCode\tSharp\tArea\nSchälchen\tB1\t2\t0.4,0.35,0.1,0.12".encode("utf-16-be"),
        "sep=;\r\nName;Code;Sharp;Area\r\nSchälchen;B1;2;0.4,0.35,0.1,0.12\r\n".encode(),
        "Name;Code;Sharp;Area;;\r\nSchälchen;B1;2;0.4,0.35,0.1,0.12;;\r\n;;;;;\r\n;;;;;\r\n".encode(),
    ],
)
def test_what_spreadsheets_save_is_read(tmp_path: Path, data: bytes) -> None:
    read = read_from(tmp_path, data)
    assert read.setups == (Setup("Schälchen", "B1", 2, area=(0.4, 0.35, 0.1, 0.12)),)
    assert read.notes == ()


def test_unknown_columns_are_left_aside_and_said(tmp_path: Path) -> None:
    read = read_from(tmp_path, "Name,Price,,Shelf\nBowl,40,from kiln 2,B\nPlate,30,,B\n")
    assert names(read.setups) == ["Bowl", "Plate"]
    assert read.notes == (
        "column 'Price' is left aside",
        "column 'Shelf' is left aside",
        "column 3, which has no title, is left aside",
    )


def test_blank_rows_do_not_count_as_setups_but_as_rows(tmp_path: Path) -> None:
    text = "\r\nname,sharp\r\n\r\nBowl,2\r\n,\r\nPlate,two\r\n"
    assert refusal(tmp_path, text) == [
        "row 6: sharp is 'two'; expected a whole number from 0 to 999"
    ]


def test_a_cell_of_several_lines_is_one_row(tmp_path: Path) -> None:
    # RFC 4180, section 2, rule 6.
    text = 'name,notes\r\nBowl,"rim\r\nand foot"\r\nPlate,x,y\r\n'
    assert refusal(tmp_path, text) == ["row 3: 3 cells, where the header has 2"]
    assert setups(tmp_path, text.replace(",y", ""))[0].notes == "rim and foot"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("code,sharp\nB1,2\n", "row 1: no column 'name'"),
        ("name|code\nBowl|B1\n", "found 'name|code'"),
        ("name,name\nBowl,Bowl\n", "row 1: more than one column 'name'"),
        ("Name,sharp,SHARP\nBowl,1,2\n", "row 1: more than one column 'sharp'"),
        ("name,code\nBowl\n", "row 2: 1 cell, where the header has 2"),
        ("name,code\nBowl,B1,\n", "row 2: 3 cells, where the header has 2"),
        ('name,code\n"Bowl" x,B1\n', "row 2: quotes that do not match"),
        ('name,code\n"Bowl,B1\n', "row 2: quotes that do not match"),
        (",,,\n,,\n", "row 1: no column 'name'"),
        ("name,code\n", "no setup; expected at least one with a name"),
        ("name,code\n,B1\n", "row 2: no name; expected the setup's name"),
        (f"name,notes\nBowl,{'x' * 200_000}\n", "row 2: field larger than field limit"),
    ],
)
def test_a_table_that_is_none_is_refused(tmp_path: Path, text: str, told: str) -> None:
    assert told in refusal(tmp_path, text)[0]


def test_ten_thousand_rows_are_read_and_one_more_is_refused(tmp_path: Path) -> None:
    lines = [f"Bowl {number},B{number},2,,," for number in range(10_001)]
    assert len(setups(tmp_path, rows(*lines[:-1]))) == 10_000
    assert refusal(tmp_path, rows(*lines)) == ["more than 10,000 rows"]
