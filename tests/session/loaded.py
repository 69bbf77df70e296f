"""What every watch loads and works out first, done once in the process that watches fork from."""

from __future__ import annotations

import numpy as np
from threadpoolctl import threadpool_limits

import tether.cli
import tether.commands.second_screen
import tether.commands.watching
from tether.frame import slate
from tether.frame.pixels import SMALLEST_SIDE
from tether.model import Rect
from tether.sharpness.measure import measure
from tether.sharpness.network import calibration

__all__ = ["tether"]

# As `tether.judge.warm`, but for the process that reads metadata: that one cannot be forked.
threadpool_limits(limits=1, user_api="blas")
calibration()
slate.warm()
measure(
    np.zeros((SMALLEST_SIDE, SMALLEST_SIDE), np.uint8), Rect(0, 0, SMALLEST_SIDE, SMALLEST_SIDE)
)
