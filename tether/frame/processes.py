"""The processes that read files for the whole program: begun together, and ended together."""

from __future__ import annotations

from tether.frame.decoder import Decoder
from tether.frame.fence import Fence

DECODER = Decoder()
FENCE = Fence()


def begin() -> None:
    """Let files be read, and start what the first will need, so that it need not wait."""
    DECODER.open()
    FENCE.start()


def again() -> None:
    """Let files be read again, once nobody who was reading one is left."""
    DECODER.open()
    FENCE.open()


def end() -> None:
    """End them all at once, whatever they do, so that no file that hangs keeps the program.

    Whoever reads one meanwhile, or until `again` or `begin`, gets `guarded.Closed`: nothing is
    known of that file, good or bad.
    """
    DECODER.close()
    FENCE.close()
