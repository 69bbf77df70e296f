"""Settings are validated, and an error names the file, the key and what was expected."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tether.settings import SettingsError, load, preset_folder, presets


@pytest.mark.parametrize("name", ["portrait", "product"])
def test_the_presets_load_and_are_commented(name: str) -> None:
    assert name in presets()
    assert load(name).preset == name
    text = (preset_folder() / f"{name}.toml").read_text(encoding="utf-8")
    keys = [line for line in text.splitlines() if " = " in line and not line.startswith("#")]
    assert all(text.splitlines()[text.splitlines().index(key) - 1].startswith("#") for key in keys)


def test_products_ask_for_their_fixed_area_first() -> None:
    # The design's order; portraits ask the camera first.
    assert load("product").area.sources[0] == "fixed area"
    assert load("portrait").area.sources[0] == "subject area"


@pytest.mark.parametrize(
    ("text", "key", "expected"),
    [
        ("[limit]\nedge_width_px = 'narrow'", "limit.edge_width_px", "number"),
        ("[limit]\nedge_width_px = 0.2", "limit.edge_width_px", "greater than or equal to 1"),
        ("[limit]\nedge_with_px = 3.0", "limit.edge_with_px", "one of edge_width_px"),
        ("[lmit]\nedge_width_px = 3.0", "lmit", "one of preset, limit"),
        ("[area]\nsources = ['nose']", "area.sources.0", "'subject area'"),
        ("[area]\nsources = []", "area.sources", "at least 1"),
        ("[area]\nfixed = [1, 2, 3]", "area.fixed", "at least 4"),
        ("[area]\nfixed = [1, 2, 3, 0]", "area", "[x, y, width, height]"),
        ("[area]\nsmallest_px = 500", "area", "smallest_px"),
        ("[watch]\npolling = 'yes'", "watch.polling", "boolean"),
    ],
)
def test_an_error_names_file_key_and_want(
    tmp_path: Path, text: str, key: str, expected: str
) -> None:
    own = tmp_path / "mine.toml"
    own.write_text(text)
    with pytest.raises(SettingsError) as raised:
        load("portrait", own)
    said = str(raised.value)
    assert said.startswith(f"{own}: {key}: ")
    assert expected in said


def test_what_is_no_toml_says_where(tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_text("[limit\n")
    with pytest.raises(SettingsError, match=r"mine.toml: not a TOML file: .*line 1"):
        load("portrait", own)


def test_a_file_that_is_missing_says_so(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="No such file"):
        load("portrait", tmp_path / "none.toml")


def test_a_preset_that_is_unknown_is_told_the_known_ones() -> None:
    with pytest.raises(SettingsError, match="expected one of portrait, product"):
        load("landscape")


def test_the_users_own_file_lies_between_preset_and_command_line(tmp_path: Path) -> None:
    place = Path(os.environ["XDG_CONFIG_HOME"]) / "tether"
    place.mkdir()
    (place / "settings.toml").write_text(
        'preset = "product"\n[limit]\nedge_width_px = 6.0\n[alerts]\nbell = false\n'
    )
    own = tmp_path / "mine.toml"
    own.write_text("[limit]\nedge_width_px = 5.0\n")
    loaded = load(None, own)
    assert (loaded.preset, loaded.limit.edge_width_px, loaded.alerts.bell) == (
        "product",
        5.0,
        False,
    )
