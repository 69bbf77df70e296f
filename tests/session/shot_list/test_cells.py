"""What a cell may hold, and what is said of one that holds something else."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.session.shot_list.lists import names, refusal, rows, setups


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Bowl,,two,,,", "sharp is 'two'; expected a whole number from 0 to 999"),
        ("Bowl,,-1,,,", "sharp is '-1'; expected a whole number from 0 to 999"),
        ("Bowl,,1000,,,", "sharp is '1000'; expected a whole number from 0 to 999"),
        ("Bowl,,1.5,,,", "sharp is '1.5'; expected a whole number from 0 to 999"),
        ("Bowl,,²,,,", "sharp is '²'; expected a whole number from 0 to 999"),
        ("Bowl,,,sport,,", "preset 'sport' is unknown; expected one of portrait, product"),
        ("next,,,,,", "name 'next' asks for the setup that follows; expected another word"),
        ("ＮＥＸＴ,,,,,", "name 'ＮＥＸＴ' asks for the setup that follows; expected another word"),
        ("Bowl, Next ,,,,", "code 'Next' asks for the setup that follows; expected another word"),
        ("Bo\x07wl,,,,,", r"name 'Bo\x07wl' holds control characters"),
        ("Bowl,B\x1b[2J,,,,", r"code 'B\x1b[2J' holds control characters"),
        ("Bowl,B\u202e1,,,,", r"code 'B\u202e1' holds control characters or others that do not"),
        (f"{'x' * 101},,,,,", "is too long; expected at most 100 characters, not 101"),
        (f"Bowl,{'7' * 4000},,,,", "is too long; expected at most 100 characters, not 4,000"),
        (f"Bowl,,,,,{'x' * 1001}", "notes are too long; expected at most 1,000 characters"),
        ("Bowl,,,,here,", "area 'here': it is not made of numbers; expected x,y,width,height"),
        ('Bowl,,,,"1,2,3",', "area '1,2,3': four numbers are wanted"),
        ('Bowl,,,,"1,2,0.3,0.4",', "px and fractions are mixed"),
        ('Bowl,,,,"0.9,0.9,1.5,0.1",', "are fractions, from 0.0 to 1.0"),
        ('Bowl,,,,"-1,0,10,10",', "it is not made of numbers"),
        ('Bowl,,,,"nan,0,10,10",', "it is not made of numbers"),
        ('Bowl,,,,"0,4,0,35,0,1,0,12",', "four numbers are wanted"),
        # What spreadsheets save in the place of a formula, of one that fails, and of a long number.
        ("=A1,,,,,", "name '=A1' is a formula; export values, not formulas"),
        ("Bowl,,=SUM(C1:C2),,,", "sharp '=SUM(C1:C2)' is a formula"),
        ("Bowl,,,,,=cmd|' /C calc'!A0", "notes '=cmd|' /C calc'!A0' is a formula"),
        ("+Bowl,,,,,", "name '+Bowl' is a formula"),
        ("Bowl,@SUM(1),,,,", "code '@SUM(1)' is a formula"),
        ("Bowl,#REF!,,,,", "code '#REF!' is a formula"),
        ("Bowl,4.00638E+12,,,,", "code '4.00638E+12' is a number that the spreadsheet rounded"),
    ],
)
def test_a_cell_that_cannot_be_is_refused_with_its_row(tmp_path: Path, row: str, told: str) -> None:
    (line,) = refusal(tmp_path, rows("Plate,,,,,", row))
    assert line.startswith("row 3: ")
    assert told in line


def test_what_is_shown_of_a_cell_is_short_and_harmless(tmp_path: Path) -> None:
    (line,) = refusal(tmp_path, rows(f"Bowl,,{'9' * 5000}\x1b[2J,,,"))
    assert len(line) < 120
    assert line.isprintable()


@pytest.mark.parametrize("text", ["+ rim", "@ the wheel", "-2 stops", "#3 on the shelf"])
def test_notes_may_begin_as_they_like_but_for_a_formula(tmp_path: Path, text: str) -> None:
    assert setups(tmp_path, rows(f"Bowl,,,,,{text}"))[0].notes == text


def test_areas_are_px_or_fractions(tmp_path: Path) -> None:
    found = setups(tmp_path, rows('A,,,,"2800, 1500, 400, 400",', 'B,,,,"0.4,.35,0.1,1.",'))
    assert [one.area for one in found] == [(2800, 1500, 400, 400), (0.4, 0.35, 0.1, 1.0)]
    assert [type(number) for one in found for number in one.area or ()] == [int] * 4 + [float] * 4


def test_presets_are_found_however_they_are_spelt(tmp_path: Path) -> None:
    assert setups(tmp_path, rows("Bowl,,, Product ,,"))[0].preset == "product"


def test_names_of_any_script_are_kept_as_they_stand(tmp_path: Path) -> None:
    told = ["湯呑 前", "Čaj", "فنجان", "Bowl № 7", "x" * 100]
    assert names(setups(tmp_path, rows(*(f"{name},,,,," for name in told)))) == told


@pytest.mark.parametrize(
    ("first", "second", "told"),
    [
        ("Bowl,", "Bowl,", "name 'Bowl' is that of row 2, too"),
        ("Bowl,", "ＢＯＷＬ,", "name 'ＢＯＷＬ' is that of row 2, too"),
        ("Tea bowl,", "TEA  BOWL ,", "name 'TEA  BOWL' is that of row 2, too"),
        ("Straße,", "STRASSE,", "name 'STRASSE' is that of row 2, too"),
        ("Bowl,B1", "Plate,b1", "code 'b1' is that of row 2, too"),
        ("Bowl,B1", "Plate,bowl", "code 'bowl' is the name of row 2"),
    ],
)
def test_setups_that_could_be_taken_for_one_another_are_refused(
    tmp_path: Path, first: str, second: str, told: str
) -> None:
    # Full width and ß: Unicode's NFKC and full case folding.
    text = rows(first, second, header="name,code")
    assert refusal(tmp_path, text) == [f"row 3: {told}"]


def test_a_code_may_be_an_earlier_or_a_later_setups_name_nowhere(tmp_path: Path) -> None:
    text = rows("Bowl,plate", "Plate,", header="name,code")
    assert refusal(tmp_path, text) == ["row 2: code 'plate' is the name of row 3"]


def test_a_code_may_be_its_own_setups_name(tmp_path: Path) -> None:
    assert setups(tmp_path, rows("Bowl,BOWL", "Plate,P", header="name,code"))[0].code == "BOWL"


def test_all_problems_are_told_at_most_ten_by_name(tmp_path: Path) -> None:
    bad = [f"Bowl {number},,none,,," for number in range(14)]
    lines = refusal(tmp_path, rows(*bad))
    assert len(lines) == 11
    assert lines[9].startswith("row 11: sharp is 'none'")
    assert lines[10] == "and 4 more"
    assert len(refusal(tmp_path, rows(*bad[:10]))) == 10


def test_a_row_with_several_problems_tells_each(tmp_path: Path) -> None:
    lines = refusal(tmp_path, rows("Bowl,=B1,none,sport,here,", "Bowl,,,,,"))
    assert [line.split()[2] for line in lines] == ["code", "sharp", "preset", "area", "name"]
