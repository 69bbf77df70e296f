"""Depth of field of a thin lens, exactly.

Lengths are mm, distances from the front principal plane. Source: D. Jacobson, *Photographic Lenses
Tutorial* and FAQ, solved for the f-number where that is asked.
"""

from __future__ import annotations

import math


def hyperfocal_mm(focal_mm: float, f_number: float, blur_mm: float) -> float:
    """The focus distance from which everything to infinity is blurred by `blur_mm` at most."""
    return focal_mm**2 / (f_number * blur_mm) + focal_mm


def limits_mm(
    focal_mm: float, f_number: float, blur_mm: float, focus_mm: float
) -> tuple[float, float]:
    """Nearest and farthest distance blurred by `blur_mm` at most; the farthest may be infinite."""
    h = hyperfocal_mm(focal_mm, f_number, blur_mm)
    near = focus_mm * (h - focal_mm) / (h + focus_mm - 2.0 * focal_mm)
    far = focus_mm * (h - focal_mm) / (h - focus_mm) if focus_mm < h else math.inf
    return near, far


def holding(focal_mm: float, blur_mm: float, focus_mm: float, depth_mm: float) -> float:
    """The f-number whose depth of field at `focus_mm` is `depth_mm` from its near to its far end.

    With h = f²/(N c) and x = s − f the depth is 2 h s x / (h² − x²); solved for h, then for N.
    """
    x = focus_mm - focal_mm
    h = x * (focus_mm + math.hypot(focus_mm, depth_mm)) / depth_mm
    return focal_mm**2 / (h * blur_mm)


def disk_of_edge(edge_width: float) -> float:
    """The diameter of the disk behind which edges are this wide, 10–90 %, in their unit.

    The disk's edge is ½ + (t √(1 − t²) + arcsin t)/π with t from −1 to 1 across it: 0.687049 of the
    diameter from one tenth to nine tenths.
    """
    return edge_width / 0.687049
