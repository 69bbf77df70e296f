"""Makes the toolkit's SVG look the same everywhere: block elements become rectangles."""

from __future__ import annotations

import html
import re

WIDTH, HEIGHT, BASELINE = 12.2, 24.4, 18.5  # of a cell, and from its top to the text's y
# Left, top, width and height in shares of a cell.
BLOCKS = {
    "█": (0.0, 0.0, 1.0, 1.0),
    "▀": (0.0, 0.0, 1.0, 0.5),
    "▄": (0.0, 0.5, 1.0, 0.5),
    **{glyph: (0.0, 0.0, (8 - place) / 8, 1.0) for place, glyph in enumerate("▉▊▋▌▍▎▏", 1)},
}
_TEXT = re.compile(
    r'<text class="([\w-]+)" x="([\d.]+)" y="([\d.]+)"[^>]*clip-path[^>]*>(.*?)</text>'
)
_WORD = rf"[^\xa0{''.join(BLOCKS)}]+"
_RUN = re.compile(
    rf"(?P<block>[{''.join(BLOCKS)}])(?P=block)*|(?P<words>{_WORD}(?:\xa0{_WORD})*)|\xa0+"
)


def tidied(svg: str) -> str:
    """Redraw blocks as rectangles and drop the spaces that some viewers would collapse."""
    fills = dict(re.findall(r"\.([\w-]+) \{ fill: (#\w+)", svg))

    def redrawn(text: re.Match[str]) -> str:
        name, left, top = text[1], float(text[2]), float(text[3]) - BASELINE
        parts = []
        for run in _RUN.finditer(html.unescape(text[4])):
            x, told = left + run.start() * WIDTH, run[0]
            if run["block"]:
                parts.append(_block(told, x, top, fills.get(name, "#fff")))
            elif run["words"]:
                parts.append(
                    f'<text class="{name}" x="{x:.1f}" y="{text[3]}" '
                    f'textLength="{len(told) * WIDTH:.1f}">{html.escape(told)}</text>'
                )
        return "".join(parts)

    crisp = "rect { shape-rendering: crispEdges }\n</style>"
    return _TEXT.sub(redrawn, svg).replace("</style>", crisp, 1)


def _block(told: str, x: float, top: float, fill: str) -> str:
    across, down, width, height = BLOCKS[told[0]]
    # A shade more than the cell, or neighbours would show a seam between them.
    more = 0.3 if across + width == 1 else 0
    wide, high = (len(told) - 1 + width) * WIDTH + more, height * HEIGHT + 0.3
    return (
        f'<rect x="{x + across * WIDTH:.2f}" y="{top + down * HEIGHT:.2f}" '
        f'width="{wide:.2f}" height="{high:.2f}" fill="{fill}"/>'
    )
