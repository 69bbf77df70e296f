"""Edge width over direction, as a half circle: 0° to the right, counter-clockwise, up to 180°."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tether.report.ink import BLACK, BLUE, QUIET, RULE, SKY_BLUE, VERMILLION
from tether.sharpness.evidence import swung

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tether.model import EdgeWidth, Measurement
    from tether.sharpness.evidence import ByDirection, Evidence

Doubles = NDArray[np.float64]

_MOST_OVER = 1.8  # times the widest width or the limit: farther out an interval is cut off


def reach(measured: Measurement, found: Evidence, limit: float) -> float:
    """Width at the rim, px: whatever is to be seen lies within."""
    told = [limit]
    if measured.widest is not None:
        told += [measured.widest.hi]
    if found.widths is not None:
        top = float(found.widths.px.max())
        told += [min(float(found.widths.hi.max()), _MOST_OVER * max(top, limit))]
    elif len(found.edges.px):
        told += [float(np.quantile(found.edges.px, 0.9))]
    return 1.12 * max(told)


def draw(
    figure: Figure,
    measured: Measurement,
    found: Evidence,
    limit: float,
    place: tuple[float, float, float, float],
) -> None:
    """Draw the half circle.

    Parameters
    ----------
    figure
        What it is drawn on.
    measured
        Widest and narrowest width, or None each.
    found
        The edges, and the widths by direction where there are any.
    limit
        px.
    place
        Left, bottom, width, height as shares of the figure.
    """
    from matplotlib.ticker import MaxNLocator

    axes: Any = figure.add_axes(place, projection="polar")
    rim = reach(measured, found, limit)
    axes.set_thetamin(0)
    axes.set_thetamax(180)
    axes.set_ylim(0, rim)
    axes.set_thetagrids(range(0, 181, 30))
    axes.grid(color=RULE, linewidth=0.6)
    axes.tick_params(labelsize=9, colors=QUIET)
    axes.yaxis.set_major_locator(MaxNLocator(5))
    axes.yaxis.set_major_formatter(lambda px, _: f"{px:g} px")
    axes.set_axisbelow(True)
    edges = found.edges
    inside = edges.px <= rim
    beyond = int((~inside).sum())
    if len(edges.px):
        axes.scatter(
            edges.normal[inside] % np.pi, edges.px[inside], s=5, color=QUIET, alpha=0.45,
            linewidths=0, zorder=1,
            label="single edges" + (f" ({beyond} beyond the rim)" if beyond else ""),
        )  # fmt: skip
    if found.widths is not None:
        _widths(axes, found.widths, rim)
    half_turn = np.linspace(0, np.pi, 181)
    axes.plot(
        half_turn, np.full(181, limit), color=VERMILLION, linewidth=2.4, zorder=4,
        label=f"limit {limit:.1f} px",
    )  # fmt: skip
    if found.widths is not None and measured.widest and measured.narrowest:
        angle = found.widths.swing.angle
        across = (angle + np.pi / 2) % np.pi
        _ends(axes, angle, measured.widest, "^", "widest")
        _ends(axes, across, measured.narrowest, "s", "narrowest")
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, 0.2), ncol=2, fontsize=9, frameon=False)


def _widths(axes: Any, told: ByDirection, rim: float) -> None:
    turn = np.radians(_closed(told.angle_deg, 180.0))
    low, px, high = (_closed(a, a[0]) for a in (told.lo, told.px, told.hi))
    axes.fill_between(
        turn, low, np.minimum(high, rim), color=SKY_BLUE, alpha=0.35, linewidth=0, zorder=0,
        label="its 95 % intervals",
    )  # fmt: skip
    axes.plot(
        turn, px, color=BLACK, linewidth=1, marker="o", markersize=3.5, zorder=3,
        label="edge width by direction",
    )  # fmt: skip
    fine = np.linspace(0, np.pi, 181)
    axes.plot(
        fine, swung(told.swing, fine), color=BLUE, linewidth=1.4, linestyle=(0, (5, 3)), zorder=3,
        label="swing fitted to it",
    )  # fmt: skip


def _ends(axes: Any, angle: float, width: EdgeWidth, marker: str, name: str) -> None:
    axes.plot([angle, angle], [width.lo, width.hi], color=BLACK, linewidth=2.6, zorder=5)
    axes.plot(
        [angle], [width.px], color=BLACK, marker=marker, markersize=9, markerfacecolor="white",
        markeredgewidth=1.8, linewidth=2.6, zorder=6,
        label=f"{name} {width.px:.1f} px ({width.lo:.1f}–{width.hi:.1f})",
    )  # fmt: skip


def _closed(values: Doubles, last: float) -> Doubles:
    return np.append(values, last)
