"""A ticket is good where it was issued, and cannot be made elsewhere."""

from __future__ import annotations

from tether.second_screen import tickets

SECRET = bytes(range(32))


def test_it_is_good_with_the_secret_that_issued_it_alone() -> None:
    ticket = tickets.issued(SECRET)
    assert tickets.good(SECRET, ticket)
    assert not tickets.good(bytes(32), ticket)


def test_it_has_256_random_bits_in_front() -> None:
    values = {tickets.issued(SECRET).split(".")[0] for _ in range(500)}
    assert len(values) == 500
    assert {len(bytes.fromhex(value)) * 8 for value in values} == {256}


def test_nothing_else_is_good() -> None:
    ticket = tickets.issued(SECRET)
    value, _, mark = ticket.partition(".")
    other = tickets.issued(SECRET).partition(".")[2]
    for said in ("", ".", value, f"{value}.", f".{mark}", f"{value}.{other}", f"0{ticket}", "é.é"):
        assert not tickets.good(SECRET, said), said
