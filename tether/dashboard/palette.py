"""Colours, and what stands in for them where there are none."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from rich.style import Style

# Okabe and Ito's colours, which people of any colour vision tell apart. Only those with a
# contrast of 4.5:1 or more against the ground are used for text.
BLUISH_GREEN = "#009e73"
ORANGE = "#e69f00"
VERMILLION = "#d55e00"
SKY_BLUE = "#56b4e9"

GROUND = "#0b0d10"
LIFTED = "#1b2129"
PAPER = "#e8eaed"
QUIET = "#98a2ad"
FAINT = "#3a434d"

COLOURS = {
    "sharp": BLUISH_GREEN,
    "borderline": ORANGE,
    "soft": VERMILLION,
    "unjudged": SKY_BLUE,
}
SYMBOLS = {"sharp": "●", "borderline": "◐", "soft": "▲", "unjudged": "○"}
SLATE, OVERRULED = "▣", "†"


def mixed(colour: str, share: float, ground: str = GROUND) -> str:
    """Return `share` of `colour` over `ground`, both and the result as #rrggbb."""
    pairs = zip(_parts(colour), _parts(ground), strict=True)
    return "#" + "".join(f"{round(a * share + b * (1 - share)):02x}" for a, b in pairs)


def contrast(one: str, other: str) -> float:
    """Return WCAG 2's contrast ratio of two colours, 1 to 21."""
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@dataclass(frozen=True)
class Palette:
    """Styles by meaning. Without `colour` they differ by bold and reverse alone."""

    colour: bool = True

    def text(self, *, lifted: bool = False) -> Style:
        """Running text."""
        return self._style(PAPER, LIFTED if lifted else GROUND)

    def strong(self, *, lifted: bool = False) -> Style:
        """What is read first."""
        return self._style(PAPER, LIFTED if lifted else GROUND, bold=True)

    def quiet(self, *, lifted: bool = False) -> Style:
        """Labels, and whatever matters less."""
        return self._style(QUIET, LIFTED if lifted else GROUND)

    def faint(self) -> Style:
        """Rules; never text."""
        return self._style(FAINT, GROUND)

    def notice(self) -> Style:
        """A line that must not be missed."""
        return self._style(GROUND, PAPER, bold=True) if self.colour else _reverse(bold=True)

    def verdict(self, word: str, *, lifted: bool = False) -> Style:
        """The verdict's word, symbol or whisker."""
        return self._style(COLOURS.get(word, PAPER), LIFTED if lifted else GROUND, bold=True)

    def shade(self, word: str, front: int, back: int, *, lifted: bool = False) -> Style:
        """Two parts of a bar side by side: 0 body, 1 and 2 its interval, 3 the ground."""
        grounds = LIFTED if lifted else GROUND
        colours = (*_shades(word), grounds)
        return self._style(colours[front], colours[back])

    def plain_shade(self, part: int) -> tuple[str, Style]:
        """A part of a bar as a glyph."""
        return ((" ", _reverse(bold=False)), ("▓", Style()), ("░", Style()), (" ", Style()))[part]

    def limit(self, over: Style) -> Style:
        """The limit's line, drawn over a cell of that style."""
        if not self.colour:
            return over + Style(bold=True)
        return Style(color=PAPER, bgcolor=over.bgcolor, bold=True)

    def _style(self, front: str, back: str, *, bold: bool = False) -> Style:
        return _coloured(front, back, bold) if self.colour else Style(bold=bold)


@lru_cache(256)
def _coloured(front: str, back: str, bold: bool) -> Style:
    return Style(color=front, bgcolor=back, bold=bold)


@lru_cache(2)
def _reverse(*, bold: bool) -> Style:
    return Style(reverse=True, bold=bold)


@lru_cache(8)
def _shades(word: str) -> tuple[str, str, str]:
    # A wall of full colour tires the eye: only what the verdict hangs on, the end, is bright.
    colour = COLOURS.get(word, PAPER)
    return mixed(colour, 0.42), colour, mixed(colour, 0.68)


def _parts(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _luminance(colour: str) -> float:
    red, green, blue = (
        part / 255 / 12.92 if part / 255 <= 0.04045 else ((part / 255 + 0.055) / 1.055) ** 2.4
        for part in _parts(colour)
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
