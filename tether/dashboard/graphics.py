"""Pictures in screen pixels, on terminals that can; everywhere else half cells do."""

from __future__ import annotations

import logging
import os
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tether.dashboard.halfcell import GROUND_GREY, origin

if TYPE_CHECKING:
    from tether.dashboard.messages import Grey

# Asking a terminal what it can takes a tenth of a second and eats keys typed meanwhile, so only
# those are asked that tell by their environment that the answer may be yes.
_TERMS = ("kitty", "ghostty", "foot", "wezterm", "mlterm", "contour", "sixel")
_PROGRAMS = ("iterm.app", "wezterm", "ghostty", "contour", "mintty")
_SIGNS = ("KITTY_WINDOW_ID", "WEZTERM_PANE", "KONSOLE_VERSION", "ITERM_SESSION_ID")


@dataclass(frozen=True)
class Graphics:
    """A toolkit widget whose `image` the terminal shows pixel by pixel; `cell` in screen px."""

    widget: Any
    cell: tuple[int, int]


def probe() -> Graphics | None:
    """Ask the terminal, if it looks capable; only before the screen runs, which reads its keys."""
    if not _promising():
        return None
    # A terminal that is silent would have its log end up in the middle of the screen.
    log = logging.getLogger("textual_image")
    log.addHandler(logging.NullHandler())
    log.propagate = False
    try:
        # Queries the terminal while it is imported, and fails in as many ways as there are
        # terminals.
        from PIL import Image
        from textual_image._sixel import image_to_sixels
        from textual_image._terminal import get_cell_size
        from textual_image.renderable import Image as Best
        from textual_image.renderable import SixelImage, TGPImage
        from textual_image.widget import Image as Widget

        if Best not in (SixelImage, TGPImage):
            return None
        image_to_sixels(Image.new("RGB", (8, 8)))
        width, height = get_cell_size()
    except Exception:
        return None
    return Graphics(Widget, (width, height)) if width > 0 and height > 0 else None


def _promising() -> bool:
    if os.environ.get("NO_COLOR") or "TMUX" in os.environ or "STY" in os.environ:
        return False
    try:
        if not all(file is not None and file.isatty() for file in (sys.__stdin__, sys.__stdout__)):
            return False
        if 0 in os.get_terminal_size(sys.__stdout__.fileno()):  # type: ignore[union-attr]
            return False
    except (OSError, ValueError):
        return False
    term = os.environ.get("TERM", "").lower()
    program = os.environ.get("TERM_PROGRAM", "").lower()
    return (
        any(name in term for name in _TERMS)
        or program in _PROGRAMS
        or any(sign in os.environ for sign in _SIGNS)
    )


def picture(
    grey: Grey, size: tuple[int, int], pan: tuple[int, int], cell: tuple[int, int], zoom: int
) -> tuple[Any, tuple[int, int]]:
    """Cut what fits and repeat each pixel `zoom` times either way.

    Parameters
    ----------
    size, cell
        Columns and lines to fill, and the screen px of one cell.

    Returns
    -------
    tuple
        A Pillow image that covers whole cells, so that nobody scales it, and how many
        (columns, lines) it covers.
    """
    import numpy as np
    from PIL import Image

    height, width = grey.shape
    across = min(width, size[0] * cell[0] // zoom)
    down = min(height, size[1] * cell[1] // zoom)
    x, y = origin(width, across, pan[0]), origin(height, down, pan[1])
    shown = grey[y : y + down, x : x + across].repeat(zoom, axis=0).repeat(zoom, axis=1)
    cells = -(-shown.shape[1] // cell[0]), -(-shown.shape[0] // cell[1])
    whole = np.full((cells[1] * cell[1], cells[0] * cell[0]), GROUND_GREY, np.uint8)
    whole[: shown.shape[0], : shown.shape[1]] = shown
    return Image.fromarray(whole).convert("RGB"), cells
