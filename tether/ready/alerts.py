"""Whether whoever does not look at the screen will hear of a soft frame."""

from __future__ import annotations

import sys
from collections.abc import Iterator

from tether.alerts.channel import answers
from tether.alerts.dispatch import channels
from tether.settings import Settings
from tether.verdict.checked import Check, State

BELL = "bell"


def bell(settings: Settings) -> Check:
    """Ring the terminal's bell once, so that it can be heard."""
    why = "a soft frame rings it"
    if not settings.alerts.bell:
        return Check(BELL, State.GOOD, "switched off in the settings", why)
    if not sys.stderr.isatty():
        return Check(BELL, State.UNTOLD, "this is no terminal: it cannot be rung from here", why)
    sys.stderr.write("\a")
    sys.stderr.flush()
    return Check(BELL, State.GOOD, "rung just now: if you did not hear it, turn it up", why)


def others(settings: Settings) -> Iterator[Check]:
    """Look at each command and notification of the settings; none of them is sent anything."""
    why = "somebody is told of soft frames by it"
    for channel in channels(settings.alerts):
        trouble = answers(channel)
        if trouble is None:
            yield Check(channel.name, State.GOOD, "could be reached as far as shows", why)
        else:
            change = "put it right under [alerts] in the settings"
            yield Check(channel.name, State.WRONG, trouble, why, change)
