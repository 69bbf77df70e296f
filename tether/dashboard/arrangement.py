"""Which parts the screen shows at a given size, and how large."""

from __future__ import annotations

from dataclasses import dataclass

from tether.dashboard.lettering import HEIGHT

SCALE_1 = 78  # columns of the longest word at scale 1, with a margin
SCALE_2 = 156


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Lines and columns of each part; 0 where it is not shown.

    `scale` is that of the band's letters, 0 for plain text. `picture` and `facts` are the
    (columns, lines) of either if both fit; otherwise they share `side`, one at a time.
    """

    scale: int
    air: int
    band: int
    state: int
    before: int
    counts: int
    soft: int
    keys: int
    main: int
    chart: int
    side: int
    both: bool


def arranged(width: int, height: int, *, before: bool = False) -> Arrangement:
    """Share out a terminal of `width` columns and `height` lines.

    `before` makes room for the line that is only there while it has something to say.
    """
    scale = 2 if width >= SCALE_2 and height >= 40 else int(width >= SCALE_1 and height >= 20)
    air = int(height >= 32)
    band = scale * HEIGHT + 2 + 3 * air if scale else (1 if height < 9 else 2 if height < 14 else 3)
    state, counts = int(height >= 12), int(height >= 9)
    advised = int(before and height >= 9)
    soft, keys = int(height >= 4), int(height >= 5)
    main = max(0, height - band - state - advised - counts - soft - keys)
    # Half of the width to the picture: what it cannot show at 1:1 it does not show at all.
    side = (
        0 if width < 66 or main < 6 else max(28, width * 45 // 100 if width < 120 else width // 2)
    )
    return Arrangement(
        scale=scale,
        air=air,
        band=band,
        state=state,
        before=advised,
        counts=counts,
        soft=soft,
        keys=keys,
        main=main,
        chart=width - side,
        side=side,
        both=side > 0 and main >= 26,
    )
