"""The page's files, from this package alone: nothing is fetched from anywhere else."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.responses import Response

from tether.dashboard import palette

if TYPE_CHECKING:
    from jinja2 import Environment

_FOLDER = Path(__file__).parent / "page"


def html(name: str, status: int = 200, **values: str) -> Response:
    """A page, with values in it that may be anybody's."""
    text = _environment().get_template(name).render(**values)
    return Response(text, status, media_type="text/html")


@cache
def style() -> Response:
    """The style sheet, in the dashboard's colours."""
    text = (_FOLDER / "screen.css").read_text(encoding="utf-8")
    colours: dict[str, Any] = {
        **{name.lower(): getattr(palette, name) for name in ("GROUND", "LIFTED", "PAPER")},
        **{name.lower(): getattr(palette, name) for name in ("QUIET", "FAINT")},
        **palette.COLOURS,
    }
    own = ":root{" + "".join(f"--{name}:{value};" for name, value in colours.items()) + "}\n"
    return Response(own + text, media_type="text/css")


@cache
def script() -> Response:
    """The page's program."""
    return Response(
        (_FOLDER / "screen.js").read_text(encoding="utf-8"), media_type="text/javascript"
    )


@cache
def icon() -> Response:
    """What the browser shows on the page's tab."""
    return Response((_FOLDER / "icon.svg").read_bytes(), media_type="image/svg+xml")


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(loader=FileSystemLoader(_FOLDER), autoescape=True, undefined=StrictUndefined)
