"""Which parts the screen shows at a given size, and how large."""

from __future__ import annotations

from dataclasses import dataclass

from tether.dashboard.lettering import HEIGHT

SCALE_1 = 78  # columns of the longest word at scale 1, with a margin
SCALE_2 = 156
LEAST_FOR_BOTH = 23  # lines
LEAST_FOR_PAIR = 58  # columns


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Lines and columns of each part; 0 where it is not shown.

    `scale` is that of the band's letters, 0 for plain text. `picture` and `facts` are the
    (columns, lines) of either if both fit; otherwise they share `side`, one at a time. `lower` are
    the lines of what stands below the picture, and of the shot list below the chart, if both fit.
    `paired`: there is room for the reference beside the picture.
    """

    scale: int
    air: int
    band: int
    state: int
    before: int
    setup: int
    reshoot: int
    counts: int
    soft: int
    keys: int
    main: int
    chart: int
    side: int
    both: bool
    lower: int
    paired: bool


def arranged(
    width: int, height: int, *, before: bool = False, setup: bool = False, reshoot: bool = False
) -> Arrangement:
    """Share out a terminal of `width` columns and `height` lines.

    `before`, `setup` and `reshoot` make room for lines that are only there while they have
    something to say.
    """
    scale = 2 if width >= SCALE_2 and height >= 40 else int(width >= SCALE_1 and height >= 20)
    air = int(height >= 32)
    band = scale * HEIGHT + 2 + 3 * air if scale else (1 if height < 9 else 2 if height < 14 else 3)
    state, counts = int(height >= 12), int(height >= 9)
    advised = int(before and height >= 9)
    told, left = int(setup and height >= 8), int(reshoot and height >= 10)
    soft = int(height >= 4)
    keys = 2 if height >= 20 and width < SCALE_2 else int(height >= 5)
    main = max(0, height - band - state - advised - told - left - counts - soft - keys)
    # Half of the width to the picture: what it cannot show at 1:1 it does not show at all.
    side = (
        0 if width < 66 or main < 6 else max(28, width * 45 // 100 if width < 120 else width // 2)
    )
    both = side > 0 and main >= LEAST_FOR_BOTH
    return Arrangement(
        scale=scale,
        air=air,
        band=band,
        state=state,
        before=advised,
        setup=told,
        reshoot=left,
        counts=counts,
        soft=soft,
        keys=keys,
        main=main,
        chart=width - side,
        side=side,
        both=both,
        lower=main - main * 3 // 5 - 1 if both else 0,
        paired=both and side >= LEAST_FOR_PAIR,
    )
