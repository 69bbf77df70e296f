"""Tells a photographer during the session which frames are soft, why, and what to change."""

import time

__version__ = "0.1.0"

BEGUN_NS = time.time_ns()
"""When this process began, as far as it can know: what lands from now on has not been there."""
