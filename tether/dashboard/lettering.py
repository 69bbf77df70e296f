"""Words in letters that are read from across a room, drawn in half blocks."""

from __future__ import annotations

from functools import lru_cache

Bits = list[list[bool]]

HEIGHT = 5  # lines of a letter at scale 1; each line holds two rows of pixels

_LETTERS = {
    "ABDEFGH": """
▄████▄ █████▄ █████▄ ██████ ██████ ▄████▄ ██  ██
██  ██ ██  ██ ██  ██ ██     ██     ██     ██  ██
██████ █████▄ ██  ██ █████  █████  ██ ▄▄▄ ██████
██  ██ ██  ██ ██  ██ ██     ██     ██  ██ ██  ██
██  ██ █████▀ █████▀ ██████ ██     ▀████▀ ██  ██
""",
    "JLNOPRS": """
    ██ ██     ██▄ ██ ▄████▄ █████▄ █████▄ ▄████▄
    ██ ██     ███▄██ ██  ██ ██  ██ ██  ██ ██  ▀▀
    ██ ██     ██▀███ ██  ██ █████▀ █████▀ ▀████▄
██  ██ ██     ██ ▀██ ██  ██ ██     ██ ▀█▄ ▄▄  ██
▀████▀ ██████ ██  ██ ▀████▀ ██     ██  ██ ▀████▀
""",
    "TU": """
██████ ██  ██
  ██   ██  ██
  ██   ██  ██
  ██   ██  ██
  ██   ▀████▀
""",
}
_WIDTH = 6


@lru_cache(32)
def drawn(word: str, scale: int = 1) -> tuple[str, ...]:
    """Return a verdict's symbol and word, `HEIGHT * scale` lines of equal width."""
    symbol = _symbol(word, 2 * HEIGHT * scale)
    letters: Bits = [[] for _ in range(2 * HEIGHT)]
    for place, letter in enumerate(word.upper()):
        for line, bits in zip(letters, _letter(letter), strict=True):
            line.extend([False] * (place > 0) + bits)
    if scale == 2:
        letters = _doubled(letters)
    gap = [False] * 2 * scale
    joined = [left + gap + right for left, right in zip(symbol, letters, strict=True)]
    return tuple(_line(joined[row], joined[row + 1]) for row in range(0, len(joined), 2))


def _letter(letter: str) -> Bits:
    if letter == "I":
        return [[True, True] for _ in range(2 * HEIGHT)]
    for letters, art in _LETTERS.items():
        place = letters.find(letter)
        if place >= 0:
            start = place * (_WIDTH + 1)
            lines = [f"{line:60}"[start : start + _WIDTH] for line in art.split("\n")[1:-1]]
            return [[cell in half for cell in line] for line in lines for half in ("█▀", "█▄")]
    raise ValueError(f"no letter {letter!r} has been drawn")


def _symbol(word: str, size: int) -> Bits:
    # Four outlines that differ in shape and in filling: a disc, half a disc in its ring, a
    # triangle, an empty ring.
    centre = (size - 1) / 2
    outer, inner = (size / 2) ** 2, (size / 2 - max(size / 6, 1.6)) ** 2

    def lit(x: int, y: int) -> bool:
        distance = (x - centre) ** 2 + (y - centre) ** 2
        if word == "soft":
            return abs(x - centre) <= 0.5 + y * (size / 2 - 0.5) / (size - 1)
        if word == "borderline":
            return distance <= outer and (x < size / 2 or distance > inner)
        return distance <= outer and (word == "sharp" or distance > inner)

    return [[lit(x, y) for x in range(size)] for y in range(size)]


def _doubled(bits: Bits) -> Bits:
    # Scale2x: doubles pixels and rounds the corners that a plain doubling would leave jagged.
    height, width = len(bits), len(bits[0])

    def at(y: int, x: int) -> bool:
        return 0 <= y < height and 0 <= x < width and bits[y][x]

    grown: Bits = []
    for y in range(height):
        upper: list[bool] = []
        lower: list[bool] = []
        for x in range(width):
            here, above, below = at(y, x), at(y - 1, x), at(y + 1, x)
            left, right = at(y, x - 1), at(y, x + 1)
            flat = above == below or left == right
            upper.append(left if not flat and above == left else here)
            upper.append(right if not flat and above == right else here)
            lower.append(left if not flat and below == left else here)
            lower.append(right if not flat and below == right else here)
        grown += [upper, lower]
    return grown


def _line(upper: list[bool], lower: list[bool]) -> str:
    return "".join(" ▄▀█"[2 * up + low] for up, low in zip(upper, lower, strict=True))
