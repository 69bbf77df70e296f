"""A TOML file becomes setups. What TOML is: its specification, version 1.0.0."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.session.shot_list.lists import read_from, refusal
from tests.session.shot_list.lists import setups as read_setups
from tether.model import Setup

FULL = """
[[setup]]
name = "Tea bowl, front"
code = "BOWL-01"
sharp = 2
preset = "product"
area = "0.4,0.35,0.1,0.12"
notes = '''rim
and signature'''
"""


def setups(folder: Path, text: str) -> tuple[Setup, ...]:
    return read_setups(folder, text, "list.toml")


def test_every_key_becomes_what_it_says(tmp_path: Path) -> None:
    area = (0.4, 0.35, 0.1, 0.12)
    full = Setup("Tea bowl, front", "BOWL-01", 2, "product", area, "rim and signature")
    assert setups(tmp_path, FULL) == (full,)
    assert setups(tmp_path, '[[setup]]\nname = "Bowl"\n') == (Setup("Bowl"),)


def test_an_area_may_be_a_list_as_in_the_settings(tmp_path: Path) -> None:
    told = '[[setup]]\nname = "A"\narea = [2800, 1500, 400, 400]\n'
    assert setups(tmp_path, told)[0].area == (2800, 1500, 400, 400)


def test_setups_may_be_written_in_one_line(tmp_path: Path) -> None:
    assert setups(tmp_path, 'setup = [{name = "A"}, {name = "B", sharp = 0}]')[1].needed == 0


def test_what_begins_like_a_formula_is_text_here(tmp_path: Path) -> None:
    assert setups(tmp_path, '[[setup]]\nname = "A"\nnotes = "= rim"\n')[0].notes == "= rim"


def test_what_is_unknown_is_left_aside_and_said(tmp_path: Path) -> None:
    text = 'title = "Bowls"\n[[setup]]\nname = "A"\nprice = 3\n[[setup]]\nname = "B"\nprice = 4\n'
    assert read_from(tmp_path, text, "list.toml").notes == (
        "'title' is left aside",
        "'price' is left aside",
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[[setup]\n", "not a TOML file: "),
        ('[[setup]]\nname = "A\n', "(at line 2, column 10)"),
        ("title = 'Bowls'\n", "no setup; expected at least one with a name"),
        ('[setup]\nname = "A"\n', "'setup' is not a list of tables; expected [[setup]] for each"),
        ("setup = [1]\n", "'setup' is not a list of tables"),
        ('\n[[setup]]\ncode = "A"\n', "the setup on line 2: no name; expected the setup's name"),
        ("[[setup]]\nname = 3\n", "the setup on line 1: name is 3; expected text in quotes"),
        ('[[setup]]\nname = "A"\ncode = 40063\n', "code is 40063; expected text in quotes"),
        ('[[setup]]\nname = "A"\nsharp = 1.5\n', "sharp is 1.5; expected a whole number"),
        ('[[setup]]\nname = "A"\nsharp = true\n', "sharp is True; expected a whole number"),
        ('[[setup]]\nname = "A"\narea = [nan, 0.0, 0.1, 0.1]\n', "from 0.0 to 1.0"),
        ('[[setup]]\nname = "A"\narea = [0, 0, 9999999, 1]\n', "over 999,999 px"),
        ('[[setup]]\nname = "A"\narea = ["0", "0", "1", "1"]\n', "it is not made of numbers"),
        ('[[setup]]\nname = "A"\nName = "B"\n', "more than one 'name'"),
        ('[[setup]]\nname = "A\\nB"\n', r"name 'A\nB' holds control characters"),
        ('setup = [{name = "A"}, {name = "a"}]\n', "setup 2: name 'a' is that of setup 1, too"),
        (f"x = {'[' * 1500}", "a value too deep or too large"),
        (f"{'a.' * 1500}b = 1", "line 1: over 2,000 characters"),
        (f"\n{'a . ' * 21}b = 1", "line 2: a key of over 20 parts"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(tmp_path: Path, text: str, told: str) -> None:
    assert told in "\n".join(refusal(tmp_path, text, "list.toml"))


def test_more_than_ten_thousand_setups_are_refused(tmp_path: Path) -> None:
    text = "".join(f'[[setup]]\nname = "Bowl {number}"\n' for number in range(10_001))
    assert refusal(tmp_path, text, "list.toml") == ["more than 10,000 setups"]
