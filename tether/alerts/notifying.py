"""The process that sends one notification, or sees whether its address could be used.

Prints one JSON value: null, or why it failed. The library's own complaints may quote the address
and are shown to nobody; of them only an HTTP status is told.
"""

from __future__ import annotations

import base64
import json
import logging
import os
import re
import sys
from typing import Any


def main() -> None:
    """Do what standard input asks for: `url`, and to send also `title`, `body`, `picture`."""
    asked = json.load(sys.stdin)
    answer = os.dup(1)
    # Nothing else that is printed may reach whoever reads this: neither by us nor by a library.
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    try:
        why = _done(asked)
    except Exception as problem:
        why = f"failed ({type(problem).__name__})"
    os.write(answer, json.dumps(why).encode())


def _done(asked: dict[str, Any]) -> str | None:
    try:
        import apprise
    except ImportError:
        return "needs the library apprise, which this system lacks"
    from apprise.attachment.memory import AttachMemory

    service = apprise.Apprise.instantiate(asked["url"], suppress_exceptions=True)
    if not isinstance(service, apprise.NotifyBase):
        kind = asked["url"].partition("://")[0].lower()
        known = kind in {scheme.lower() for scheme in apprise.NotificationManager().schemas()}
        return "is no complete address of its kind" if known else "is of a kind that is not known"
    if "body" not in asked:
        return None
    picture = base64.b64decode(asked["picture"])
    attached = [AttachMemory(picture, name="focus-area.jpg", mimetype="image/jpeg")]
    together = apprise.Apprise()
    together.add(service)
    with apprise.LogCapture(level=logging.WARNING) as said:
        sent = together.notify(
            title=asked["title"],
            body=asked["body"],
            body_format=apprise.NotifyFormat.TEXT,
            attach=attached if picture else None,
        )
        status = re.search(r"error=(\d{3})\b", said.getvalue())
    if sent:
        return None
    if status is not None:
        return f"was not delivered: the service answered {status[1]}"
    return "was not delivered: the service does not answer, or refuses it"
