"""A notification through whatever service the studio uses."""

from __future__ import annotations

import base64
import json
import os
import sys

from tether.alerts.channel import Telling
from tether.alerts.guarded import Guarded, Report

_CODE = "import sys; sys.path[:] = {path!r}; from tether.alerts.notifying import main; main()"
# The library waits 4 s for a connection and 4 s for an answer; slow machines load it in as many.
_SECONDS = 20.0


class Notification:
    """One address, as the notification library takes it. It holds secrets: never shown.

    Sent from a process of its own: loading the library, and a service that trickles its answer,
    would hold up a watch.

    Parameters
    ----------
    url
        The address.
    number
        Its place in the settings, from 1, to name it by.
    picture
        Whether the picture of the focus area goes along.
    seconds
        How long one may take.
    """

    def __init__(self, url: str, number: int, *, picture: bool, seconds: float = _SECONDS) -> None:
        self._url = url
        self._picture = picture
        self._seconds = seconds
        self._guarded = Guarded()
        self.name = f"notification {number} ({masked(url)})"

    def send(self, message: Telling) -> str | None:
        """Deliver a message."""
        picture = message.picture if self._picture else b""
        return self._ask(
            title=message.title, body=message.body, picture=base64.b64encode(picture).decode()
        )

    def check(self) -> str | None:
        """Return why the library cannot use the address, or None."""
        return self._ask()

    def end(self) -> None:
        """End the delivery under way."""
        self._guarded.end()

    def close(self) -> None:
        """End the delivery under way, and begin none any more."""
        self._guarded.close()

    def _ask(self, **what: str) -> str | None:
        report = self._guarded.run(
            [sys.executable, "-I", "-c", _CODE.format(path=sys.path)],
            json.dumps({"url": self._url, **what}),
            seconds=self._seconds,
            environment=dict(os.environ),
        )
        return _why(report)


def masked(url: str) -> str:
    """Return an address's kind alone, as in `mailto://…`; the rest may be a password."""
    kind, found, _ = url.partition("://")
    return f"{kind}://…" if found and kind.isalnum() else "…"


def _why(report: Report) -> str | None:
    if report.why is not None:
        return report.why
    try:
        why = json.loads(report.output)
    except ValueError:
        return "told nothing of what came of it"
    return None if why is None else str(why)
