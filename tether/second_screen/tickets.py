"""What a paired screen shows at every request: a random value that only we can have signed.

Nothing is kept a screen, so a thousand pairings take no memory; and a process that is started anew
with the same secret lets the same screens in. The secret lives in memory alone, with whoever
started the process: when the watch ends, every screen has to be paired again.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets

BYTES = 32


def issued(secret: bytes) -> str:
    """A new ticket: 256 random bits and their HMAC-SHA256 (RFC 2104), in hexadecimal digits."""
    value = secrets.token_hex(BYTES)
    return f"{value}.{_mark(secret, value)}"


def good(secret: bytes, ticket: str) -> bool:
    """Whether the ticket was issued with this secret."""
    value, _, mark = ticket[:256].partition(".")
    return hmac.compare_digest(mark.encode("utf-8", "replace"), _mark(secret, value).encode())


def _mark(secret: bytes, value: str) -> str:
    return hmac.new(secret, value.encode("utf-8", "replace"), hashlib.sha256).hexdigest()
