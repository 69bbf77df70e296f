"""The name that network cameras know this computer by, in the place where the library keeps it.

The library makes one up where it finds none. Two cameras that are met for the first time at once,
each in its own process, would come to know two names, of which one is kept: the other camera would
take the computer for a stranger the next time.
"""

from __future__ import annotations

import os
import uuid
from contextlib import suppress
from pathlib import Path

_FORMAT = "ptp2_ip=guid={}\n"


def introduce(settings: Path) -> None:
    """Make up a name, if there is none yet; whoever comes second finds the first one's.

    Parameters
    ----------
    settings
        The folder in which the library keeps what it is to remember (`XDG_CONFIG_HOME`).

    Raises
    ------
    OSError
        Nothing can be written there.
    """
    kept = settings / "gphoto" / "settings"
    if kept.exists():
        return
    kept.parent.mkdir(parents=True, exist_ok=True)
    made = kept.with_name(f"settings.{os.getpid()}.{uuid.uuid4().hex}")
    try:
        made.write_text(_FORMAT.format(uuid.uuid4().bytes.hex(":")), encoding="ascii")
        with suppress(OSError):  # without links, the library makes up its own after all
            os.link(made, kept)  # whole, or not at all
    finally:
        made.unlink(missing_ok=True)
