"""The pairing code is used once, and no amount of guessing gets in or keeps anybody out."""

from __future__ import annotations

import math
import random

from tether.second_screen.pace import Pace, neighbourhood
from tether.second_screen.pairing import ALPHABET, LENGTH, Pairing, Try, new_code, spelt


def test_a_code_has_more_than_fifty_bits_and_no_two_are_alike() -> None:
    assert LENGTH * math.log2(len(set(ALPHABET))) >= 50
    codes = {new_code() for _ in range(2000)}
    assert len(codes) == 2000
    assert set("".join(codes)) == set(ALPHABET)


def test_it_is_good_once() -> None:
    pairing = Pairing()
    code = pairing.code
    assert pairing.attempt(code, "192.0.2.7", 0.0) is Try.RIGHT
    assert pairing.code != code
    assert pairing.attempt(code, "192.0.2.8", 0.0) is Try.WRONG
    assert pairing.attempt(pairing.code, "192.0.2.9", 0.0) is Try.RIGHT


def test_it_may_be_typed_as_it_is_shown_and_as_it_is_misread() -> None:
    # Which letters stand for digits: Douglas Crockford's "Base 32", decode table.
    assert spelt("ab12-cd34-efgh") == "AB12CD34EFGH"
    assert spelt(" Oo Il ") == "0011"
    assert len(spelt("A" * 10_000)) == 64


def test_whatever_is_said_is_an_answer_and_no_failure() -> None:
    pairing = Pairing()
    for nth, said in enumerate(("", "\0", "é" * 12, "½" * 12, "٣" * 12, "a" * 100_000)):
        assert pairing.attempt(said, f"192.0.2.{nth}", 0.0) is Try.WRONG


def test_a_thousand_guesses_a_second_are_hardly_looked_at_and_lock_nobody_out() -> None:
    pairing = Pairing()
    code, looked_at = pairing.code, 0
    chance = random.Random(1)
    for nth in range(60_000):
        said = "".join(chance.choices(ALPHABET, k=LENGTH))
        looked_at += pairing.attempt(said, "192.0.2.66", nth / 1000) is Try.WRONG
    assert looked_at <= 5 + 60 * 0.5 + 1
    assert pairing.pause_s(60.0) > pairing.pause_s(600.0) >= 1.0
    # It was not renewed meanwhile, so who points a phone at it is let in.
    assert pairing.attempt(code, "192.0.2.7", 60.0) is Try.RIGHT


def test_guesses_from_everywhere_do_not_lock_anybody_out_either() -> None:
    pairing = Pairing()
    code = pairing.code
    for nth in range(20_000):
        pairing.attempt("0" * LENGTH, f"10.{nth % 7}.{nth % 251}.{nth % 199}", nth / 1000)
    assert pairing.attempt(code, "192.0.2.7", 20.0) is Try.RIGHT


def test_who_mistyped_may_try_again_after_two_seconds() -> None:
    pairing = Pairing()
    tries = [pairing.attempt("no", "192.0.2.7", 0.0) for _ in range(7)]
    assert tries == [Try.WRONG] * 5 + [Try.TOO_SOON] * 2
    assert pairing.attempt(pairing.code, "192.0.2.7", 1.0) is Try.TOO_SOON
    assert pairing.attempt(pairing.code, "192.0.2.7", 2.1) is Try.RIGHT


def test_addresses_are_remembered_up_to_a_number() -> None:
    pace = Pace(1, 0.0)
    for nth in range(10_000):
        pace.within(f"10.0.{nth // 250}.{nth % 250}", 0.0)
    assert len(pace) <= 512


def test_one_machine_is_one_address_whatever_it_calls_itself() -> None:
    # RFC 4291, 2.5.1 and 2.5.4: a link's prefix has 64 bits; 2.5.5.2: IPv4 mapped into IPv6.
    assert neighbourhood("2001:db8:1:2:3::4") == neighbourhood("2001:db8:1:2:ffff::9")
    assert neighbourhood("2001:db8:1:2::1") != neighbourhood("2001:db8:1:3::1")
    assert neighbourhood("::ffff:192.0.2.7") == neighbourhood("192.0.2.7")
    assert neighbourhood("192.0.2.7") != neighbourhood("192.0.2.8")
    assert neighbourhood("fe80::1%eth0") == neighbourhood("fe80::2%eth0")
