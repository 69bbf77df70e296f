"""Where the page is served: the socket, what other machines call it, and whose names are ours."""

from __future__ import annotations

import errno
import ipaddress
import socket
from dataclasses import dataclass

LOOPBACK = "127.0.0.1"
PORT = 8321

# So that what a slow screen has not read waits with us, where newer replaces older.
_SEND_BUFFER = 65536
# No packet is sent there: it is for documentation (RFC 5737). Its route tells our own address.
_FAR_AWAY = ("192.0.2.1", 9)
_FAR_AWAY_6 = ("2001:db8::1", 9)


class CannotServe(Exception):
    """No page can be served there just now; the message says why."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a bound socket is reached.

    `names` are what a request may call us besides the address that it came in by.
    """

    socket: socket.socket
    shown: str
    port: int
    open: bool
    names: frozenset[str]

    @property
    def url(self) -> str:
        """The page's address, with its slash."""
        host = f"[{self.shown}]" if ":" in self.shown else self.shown
        return f"http://{host}:{self.port}/"


def bound(host: str, port: int) -> Place:
    """Bind `host` (a name or an address) and `port`.

    Raises
    ------
    CannotServe
        There is no such host, it is not this computer's, or the port is taken.
    """
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except (OSError, UnicodeError):
        raise CannotServe(f"{host} is no address that can be found") from None
    # Of a name's addresses IPv4 is the shorter one to type.
    family, _, _, _, at = min(found, key=lambda one: one[0] != socket.AF_INET)
    opened = socket.socket(family, socket.SOCK_STREAM)
    try:
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _SEND_BUFFER)
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        if hasattr(socket, "TCP_USER_TIMEOUT"):  # a tablet that was carried out of reach
            opened.setsockopt(socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT, 30_000)
        opened.bind(at)
        opened.listen(128)
    except OSError as problem:
        opened.close()
        raise CannotServe(_why(problem, host, port)) from None
    own = opened.getsockname()[:2]
    local = ipaddress.ip_address(own[0].partition("%")[0]).is_loopback
    names = {host.lower()} if _is_name(host) else set()
    if local:
        names.add("localhost")
    return Place(opened, _shown(host, own[0]), own[1], not local, frozenset(names))


def _why(problem: OSError, host: str, port: int) -> str:
    if problem.errno == errno.EADDRINUSE:
        return f"port {port} is in use; name another one with --port"
    if problem.errno == errno.EADDRNOTAVAIL:
        return f"{host} is not an address of this computer"
    if problem.errno in {errno.EACCES, errno.EPERM}:
        return f"the system keeps port {port} for itself; name one above 1024 with --port"
    return f"{host} port {port}: {problem.strerror or problem}"


def _is_name(host: str) -> bool:
    try:
        ipaddress.ip_address(host.partition("%")[0])
    except ValueError:
        return True
    return False


def _shown(host: str, own: str) -> str:
    """What a phone on the same network can reach, where every address was asked for."""
    if own not in {"0.0.0.0", "::"}:
        return host if _is_name(host) else own
    families = [(socket.AF_INET, _FAR_AWAY)]
    families += [(socket.AF_INET6, _FAR_AWAY_6)] if own == "::" else []
    for family, far in families:
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as asking:
                asking.connect(far)
                return str(asking.getsockname()[0])
        except OSError:
            continue  # no route: no network is up, or none leads outside
    try:
        return socket.gethostbyname(socket.gethostname())
    except OSError:
        return own
