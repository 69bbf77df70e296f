"""Where the page is served, and the clear line where it cannot be."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest

from tests.second_screen.serving import free_port
from tether.second_screen.address import CannotServe, Place, bound


@contextmanager
def place(host: str) -> Iterator[Place]:
    made = bound(host, 0)
    with closing(made.socket):
        yield made


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "127.0.0.2"])
def test_loopback_is_not_open(host: str) -> None:
    with place(host) as made:
        assert not made.open
        assert "localhost" in made.names
        assert made.url == f"http://{made.shown}:{made.port}/"


def test_ipv6_loopback_is_not_open_either() -> None:
    try:
        with place("::1") as made:
            assert not made.open
            assert made.url == f"http://[::1]:{made.port}/"
    except CannotServe as problem:
        pytest.skip(f"no IPv6 here: {problem}")


def test_every_address_is_open_and_shown_as_one_that_a_phone_can_reach() -> None:
    with place("0.0.0.0") as made:
        assert made.open
        assert made.shown != "0.0.0.0"
        assert "localhost" not in made.names


def test_a_port_in_use_is_told() -> None:
    with place("127.0.0.1") as made, pytest.raises(CannotServe, match=r"in use; name another"):
        bound("127.0.0.1", made.port)


def test_a_port_that_a_connection_was_just_closed_on_is_not_in_use() -> None:
    port = free_port()
    first = bound("127.0.0.1", port)
    client = socket.create_connection(("127.0.0.1", port))
    accepted, _ = first.socket.accept()
    accepted.close()
    client.close()
    first.socket.close()
    bound("127.0.0.1", port).socket.close()


def test_another_computers_address_is_told() -> None:
    # RFC 5737: 192.0.2.0/24 is for documentation; 203.0.113.0/24 likewise.
    with pytest.raises(CannotServe, match=r"203\.0\.113\.77 is not an address of this computer"):
        bound("203.0.113.77", 0)


@pytest.mark.parametrize("host", ["no-such-host.invalid", "a..b", "x" * 300, "256.1.1.1"])
def test_what_is_no_address_is_told(host: str) -> None:
    # RFC 6761: names under .invalid never exist.
    with pytest.raises(CannotServe, match="no address that can be found"):
        bound(host, 0)
