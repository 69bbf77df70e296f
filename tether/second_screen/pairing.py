"""The one-time code that lets a screen in, and how wrong ones are slowed.

A code has 60 bits: of a thousand guesses a second the right one is not to be expected in a million
years, so nothing has to be locked to keep it, and nothing is, for a lock is what somebody who only
means harm would use. Three things follow.

- The right code is let in at any time, from any address that has not itself just guessed wrong.
  Five tries of one address are looked at, then one every two seconds.
- A wrong one is answered late, the later the more of them there are in all: guessing keeps its own
  connections waiting and costs nobody else anything.
- Wrong guesses do not renew the code. That would make the next guess no less likely, and would let
  anybody on the network take the code away while the photographer points a phone at it. What
  renews it is that it was used.
"""

from __future__ import annotations

import secrets
from collections import deque
from enum import Enum, auto

from tether.second_screen.pace import Pace

# Crockford's base 32: no letter that is read as another one, or as a digit.
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 12

_AT_ONCE = 5
_A_SECOND = 0.5
_MINUTE_S = 60.0
_MANY = 30
_PAUSE_S, _LONG_PAUSE_S = 1.0, 4.0

_MISREAD = str.maketrans({"O": "0", "I": "1", "L": "1"})


class Try(Enum):
    """What came of a try."""

    RIGHT = auto()
    WRONG = auto()
    TOO_SOON = auto()


class Pairing:
    """The code that is good now; it is used once, and then there is another one."""

    def __init__(self) -> None:
        self.code = new_code()
        self._pace = Pace(_AT_ONCE, _A_SECOND)
        self._wrong: deque[float] = deque(maxlen=_MANY)

    def attempt(self, said: str, address: str, now: float) -> Try:
        """Hold what somebody at `address` said at `now` (monotonic, s) against the code."""
        if not self._pace.within(address, now):
            self._wrong.append(now)
            return Try.TOO_SOON
        if not secrets.compare_digest(spelt(said).encode(), self.code.encode()):
            self._wrong.append(now)
            return Try.WRONG
        self.code = new_code()
        return Try.RIGHT

    def pause_s(self, now: float) -> float:
        """How long the answer to a try that failed has to wait, in s."""
        many = len(self._wrong) == _MANY and now - self._wrong[0] < _MINUTE_S
        return _LONG_PAUSE_S if many else _PAUSE_S


def new_code() -> str:
    """Twelve letters and digits of the system's randomness, 60 bits."""
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


def spelt(said: str) -> str:
    """A code as somebody typed it, without what separates its groups; at most 64 characters."""
    return "".join(one for one in said[:64].upper() if one.isalnum()).translate(_MISREAD)
