"""How often somebody may do a thing: so many at once, then so many a second."""

from __future__ import annotations

import ipaddress
from collections import OrderedDict

_REMEMBERED = 512


class Pace:
    """A bucket an address (Turner's token bucket, 1986), for any number of addresses.

    Parameters
    ----------
    at_once, a_second
        How many are free to begin with, and how many more come free each second.

    Memory is bounded: of more than 512 addresses the one unheard of for longest is forgotten.
    """

    def __init__(self, at_once: int, a_second: float) -> None:
        self._at_once, self._a_second = at_once, a_second
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def __len__(self) -> int:
        return len(self._left)

    def within(self, address: str, now: float) -> bool:
        """Whether `address` may at `now` (monotonic, s); if so, that counts."""
        key = neighbourhood(address)
        left, since = self._left.pop(key, (float(self._at_once), now))
        left = min(self._at_once, left + (now - since) * self._a_second)
        may = left >= 1
        self._left[key] = (left - 1 if may else left, now)
        if len(self._left) > _REMEMBERED:
            self._left.popitem(last=False)
        return may


def neighbourhood(address: str) -> str:
    """What one machine can call itself: an IPv4 address, or the /64 that RFC 4291 gives a link."""
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if isinstance(found, ipaddress.IPv4Address):
        return str(found)
    if found.ipv4_mapped is not None:
        return str(found.ipv4_mapped)
    return str(ipaddress.ip_network((found, 64), strict=False))
