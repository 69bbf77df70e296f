"""Settings: a preset, the user's own file, and one named on the command line, validated."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any, Literal, Self

import platformdirs
from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    SecretStr,
    ValidationError,
    field_validator,
    model_validator,
)

from tether.model import Pixels, Print, Purpose, Screen

AimSource = Literal[
    "nearest eye",
    "camera focus point",
    "subject area",
    "region metadata",
    "fixed area",
    "frame centre",
]


class SettingsError(Exception):
    """A settings file that cannot be used; the message names the file, the key and the want."""


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class Limit(_Part):
    """What the picture is for, which says how wide an edge may be: exactly one purpose."""

    edge_width_px: Annotated[float, Field(ge=1.0, le=50.0)] | None = None
    print_width_cm: Annotated[float, Field(ge=1.0, le=10_000.0)] | None = None
    viewing_distance_cm: Annotated[float, Field(ge=10.0, le=100_000.0)] | None = None
    screen_px: Annotated[int, Field(ge=100, le=100_000)] | None = None

    @model_validator(mode="after")
    def _one_purpose(self) -> Self:
        given = list(self.model_dump(exclude_none=True))
        named = [purpose for purpose in _PURPOSES if set(given) & set(purpose)]
        if len(named) != 1:
            known = ", or ".join(" with ".join(purpose) for purpose in _PURPOSES)
            raise ValueError(f"expected one of {known}; found {' and '.join(given) or 'none'}")
        missing = [key for key in named[0] if key not in given]
        if missing:
            raise ValueError(f"{given[0]} needs {missing[0]} beside it")
        return self

    @property
    def purpose(self) -> Purpose:
        """The purpose as a value."""
        if self.print_width_cm is not None and self.viewing_distance_cm is not None:
            return Print(self.print_width_cm, self.viewing_distance_cm)
        if self.screen_px is not None:
            return Screen(self.screen_px)
        assert self.edge_width_px is not None, "validated"
        return Pixels(self.edge_width_px)


# The keys of [limit] that name one purpose together.
_PURPOSES = (
    ("edge_width_px",),
    ("print_width_cm", "viewing_distance_cm"),
    ("screen_px",),
)


def _a_number(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("expected a number")  # noqa: TRY004 - pydantic tells of this one
    return value


# So that what is neither is told once, not once for each.
_Number = Annotated[int | float, BeforeValidator(_a_number)]


def why_no_area(numbers: Sequence[int | float]) -> str:
    """Say why x, y, width and height are no area; empty if they are one.

    Whole numbers are px. Numbers with a decimal point are fractions of the frame's width and
    height. Both count from the top-left corner of the unrotated frame.
    """
    fractions = [isinstance(number, float) for number in numbers]
    if len(numbers) != 4:
        return "four numbers are wanted"
    if any(fractions) and not all(fractions):
        return "px and fractions are mixed (the fraction of a whole is 1.0, of nothing 0.0)"
    x, y, width, height = numbers
    if not all(fractions):
        least = x >= 0 and y >= 0 and width >= 1 and height >= 1
        return "" if least else "x and y begin at 0 px, width and height at 1 px"
    share = 0 <= x < 1 and 0 <= y < 1 and 0 < width <= 1 and 0 < height <= 1
    return "" if share else "numbers with a decimal point are fractions, from 0.0 to 1.0"


class Area(_Part):
    """Where the picture is meant to be sharp."""

    sources: Annotated[list[AimSource], Field(min_length=1)] = [
        "nearest eye",
        "camera focus point",
        "subject area",
        "region metadata",
        "fixed area",
        "frame centre",
    ]
    fixed: Annotated[list[_Number], Field(min_length=4, max_length=4)] | None = None
    faces: bool = True
    point_px: Annotated[int, Field(ge=64, le=800)] = 320
    smallest_px: Annotated[int, Field(ge=64, le=800)] = 128
    largest_px: Annotated[int, Field(ge=64, le=800)] = 400

    @model_validator(mode="after")
    def _sizes_in_order(self) -> Self:
        if self.smallest_px > self.largest_px:
            raise ValueError("smallest_px must not be larger than largest_px")
        why_not = why_no_area(self.fixed) if self.fixed is not None else ""
        if why_not:
            raise ValueError(
                f"fixed: {why_not}; expected [x, y, width, height], whole numbers for px or four "
                "with a decimal point for fractions of the frame"
            )
        return self


class Camera(_Part):
    """What files do not tell of the camera and the shot, and how frames are taken over a cable."""

    pixel_pitch_um: Annotated[float, Field(ge=0.3, le=100.0)] | None = None
    keep_on_card: bool = True
    fetch_earlier: bool = False
    support: Literal["tripod", "hand"] = "hand"
    sensor_width_mm: Annotated[float, Field(ge=1.0, le=200.0)] | None = None
    subject_distance_m: Annotated[float, Field(ge=0.01, le=10_000.0)] | None = None
    subject_depth_cm: Annotated[float, Field(ge=0.01, le=100_000.0)] | None = None


class Watch(_Part):
    """How frames are taken up."""

    polling: bool = False
    workers: Annotated[int, Field(ge=1, le=16)] = Field(
        default_factory=lambda: max(1, min(4, os.cpu_count() or 1))
    )
    pair_wait_s: Annotated[float, Field(ge=0.0, le=60.0)] = 2.0


class Session(_Part):
    """How the session is counted."""

    burst_s: Annotated[float, Field(ge=0.0, le=60.0)] = 1.0
    by_folder: bool = False


class Slate(_Part):
    """Which codes make a frame a slate."""

    codes: Literal["any", "listed", "none"] = "any"


class Alerts(_Part):
    """Who is told of a soft frame, and how often."""

    bell: bool = True
    command: Annotated[list[str], Field(max_length=100)] = []
    command_timeout_s: Annotated[float, Field(ge=0.5, le=300.0)] = 10.0
    notify: Annotated[list[SecretStr], Field(max_length=20)] = []
    picture: bool = False
    borderline: bool = False
    unjudged: bool = False
    in_a_row: Annotated[int, Field(ge=1, le=100)] = 1
    at_most_every_s: Annotated[float, Field(ge=0.0, le=3600.0)] = 30.0
    all_clear: bool = False
    in_danger_only: bool = True
    reshoot: bool = True

    @field_validator("command")
    @classmethod
    def _a_program(cls, command: list[str]) -> list[str]:
        if not command:
            return command
        program = command[0]
        if not program or any("\0" in part for part in command):
            raise ValueError("expected a program and its arguments, as in ['notice', '--loud']")
        # Where the watch happens to be started must not decide which program it is.
        if {"/", os.sep} & set(program) and not Path(program).is_absolute():
            raise ValueError("expected a program by its name, or by its whole path")
        return command

    @field_validator("notify")
    @classmethod
    def _addresses(cls, urls: list[SecretStr]) -> list[SecretStr]:
        for number, url in enumerate(urls, 1):
            if not re.fullmatch(r"[A-Za-z][A-Za-z0-9]*://[^\0]*", url.get_secret_value()):
                raise ValueError(f"expected addresses like mailto://…; number {number} is none")
        return urls


class SecondScreen(_Part):
    """What the page for a tablet or phone may show beyond this computer."""

    picture: bool = False


class Settings(_Part):
    """Everything that can be set."""

    preset: str = "portrait"
    limit: Limit = Limit(edge_width_px=4.0)
    area: Area = Area()
    camera: Camera = Camera()
    watch: Watch = Watch()
    session: Session = Session()
    slate: Slate = Slate()
    alerts: Alerts = Alerts()
    second_screen: SecondScreen = SecondScreen()


def preset_folder() -> Path:
    """The folder of the presets: inside the package when installed, beside it in a checkout."""
    inside = Path(__file__).parent / "configs"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "configs"


def presets() -> list[str]:
    """Names of the presets that come with the program."""
    return sorted(path.stem for path in preset_folder().glob("*.toml"))


def user_file() -> Path:
    """The user's own settings file; it need not exist."""
    return platformdirs.user_config_path("tether") / "settings.toml"


def load(preset: str | None = None, config: Path | None = None) -> Settings:
    """Join the preset, the user's file and `config`, each over the one before, and validate.

    Raises
    ------
    SettingsError
        A file is missing, is not TOML, or holds a key or value that cannot be.
    """
    own = [path for path in (user_file(),) if path.is_file()]
    files = own + ([config] if config is not None else [])
    read = [(path, _read(path)) for path in files]
    named = preset or next((d["preset"] for _, d in reversed(read) if "preset" in d), None)
    name = named if named is not None else Settings().preset
    if not isinstance(name, str) or name not in presets():
        raise SettingsError(f"preset: {name!r} is unknown; expected one of {', '.join(presets())}")
    base = preset_folder() / f"{name}.toml"
    joined = {**_read(base), "preset": name}
    settings = _validated(joined, base)
    # One file at a time, so that an error names the file it came in with.
    for path, values in read:
        joined = {**_over(joined, values), "preset": name}
        settings = _validated(joined, path)
    return settings


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as problem:
        raise SettingsError(f"{path}: {problem.strerror or problem}") from problem
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise SettingsError(f"{path}: not a TOML file: {problem}") from problem


def _over(below: dict[str, Any], above: dict[str, Any]) -> dict[str, Any]:
    joined = dict(below)
    for key, value in above.items():
        under = joined.get(key)
        if isinstance(value, dict) and isinstance(under, dict):
            joined[key] = _over(_giving_way(under, value) if key == "limit" else under, value)
        else:
            joined[key] = value
    return joined


def _giving_way(below: dict[str, Any], above: dict[str, Any]) -> dict[str, Any]:
    """The lower file's limit without the purposes that give way to another one named above."""
    named = [purpose for purpose in _PURPOSES if set(purpose) & set(above)]
    other = {key for one in _PURPOSES if named and one not in named for key in one}
    return {key: value for key, value in below.items() if key not in other}


def _validated(values: dict[str, Any], path: Path) -> Settings:
    try:
        return Settings.model_validate(values)
    except ValidationError as problem:
        lines = [_line(dict(one), path) for one in problem.errors()]
        raise SettingsError("\n".join(lines)) from None


def _line(problem: dict[str, Any], path: Path) -> str:
    key = ".".join(str(part) for part in problem["loc"])
    if problem["type"] == "extra_forbidden":
        return f"{path}: {key}: no such setting; expected {_siblings(problem['loc'])}"
    told = problem["msg"].removeprefix("Value error, ")
    untold = isinstance(problem["input"], dict) or _secret(problem["loc"])
    given = "" if untold else f", not {problem['input']!r}"
    expected = told[0].lower() + told[1:]
    return f"{path}: {key}: {expected.replace('input should be', 'expected')}{given}"


def _secret(loc: tuple[int | str, ...]) -> bool:
    # Whatever stands in the place of an address may hold a password all the same.
    return loc == ("alerts",) or loc[:2] == ("alerts", "notify")


def _siblings(loc: tuple[int | str, ...]) -> str:
    part: type[BaseModel] = Settings
    for step in loc[:-1]:
        inner = part.model_fields[str(step)].annotation
        part = inner if isinstance(inner, type) and issubclass(inner, BaseModel) else part
    return "one of " + ", ".join(part.model_fields)
