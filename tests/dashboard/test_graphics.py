from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from tests.dashboard.demo import entry, jpeg
from tests.dashboard.terminal import Terminal
from tether.dashboard.graphics import picture, probe
from tether.session.record import Record

pytest.importorskip("textual_image")
pytest.importorskip("PIL")

ATTRIBUTES, CELL = b"\x1b[c", b"\x1b[16t"


def answering(terminal: Terminal, *needles: str, sixel: bool, kitty: bool) -> None:
    """Answer what the program asks of its terminal until it has written `needles`."""
    answered = 0
    for _ in range(400):
        if all(needle.encode() in terminal.written for needle in needles):
            return
        terminal.read(0.02)
        asked = terminal.written[answered:]
        answered = len(terminal.written)
        if ATTRIBUTES in asked:
            terminal.type("\x1b[?62;4;22c" if sixel else "\x1b[?62;22c")
        if CELL in asked:
            terminal.type("\x1b[6;20;10t")
        query = re.search(rb"\x1b_G[^;]*i=(\d+)[^;]*a=q", asked)
        if query and kitty:
            terminal.type(f"\x1b_Gi={query[1].decode()};OK\x1b\\")
    raise TimeoutError(f"{needles} not in {terminal.written[-3000:]!r}")


@pytest.mark.parametrize(
    ("term", "sixel", "kitty", "sign"),
    [("foot", True, False, "\x1bP"), ("xterm-kitty", False, True, "\x1b_Gi=")],
)
def test_a_terminal_that_shows_pictures_gets_one(
    folder: Path, record: Record, term: str, sixel: bool, kitty: bool, sign: str
) -> None:
    noise = np.random.default_rng(3).integers(0, 256, (120, 120)).astype(np.uint8)
    record.add(entry(1, crop=jpeg(noise)))
    with Terminal(str(folder), size=(160, 48), environment={"TERM": term}) as terminal:
        answering(terminal, "bowl-0001 at 2:1", sign, sixel=sixel, kitty=kitty)
        terminal.type("e")
        # Once it runs it asks nothing more, and what it is sent are keys.
        terminal.wait_for("bowl-0001 at 1:1, 120")
        terminal.type("q")
        assert terminal.ended() == 0
        assert terminal.restored


def test_a_terminal_that_does_not_answer_gets_half_cells(folder: Path, record: Record) -> None:
    record.add(entry(1, crop=jpeg(np.full((60, 60), 9, np.uint8))))
    with Terminal(str(folder), environment={"TERM": "foot"}) as terminal:
        terminal.wait_for("1:1", "▀▀▀")
        terminal.type("q")
        assert terminal.ended() == 0
        assert b"Traceback" not in terminal.written


def test_nobody_is_asked_without_a_terminal() -> None:
    assert probe() is None


@pytest.mark.parametrize("zoom", [1, 2])
def test_pixels_are_repeated_and_never_mixed(zoom: int) -> None:
    grey = np.random.default_rng(4).integers(0, 256, (90, 70)).astype(np.uint8)
    image, (columns, lines) = picture(grey, (6, 4), (5, -3), (10, 20), zoom)
    assert image.size == (columns * 10, lines * 20)
    shown = np.asarray(image)[:, :, 0]
    across, down = 60 // zoom, 80 // zoom
    x, y = (70 - across) // 2 + 5, (90 - down) // 2 - 3
    for at_y, at_x in ((0, 0), (down - 1, across - 1), (7, 11)):
        block = shown[at_y * zoom : (at_y + 1) * zoom, at_x * zoom : (at_x + 1) * zoom]
        assert (block == grey[y + at_y, x + at_x]).all()
