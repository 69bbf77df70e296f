"""The page in real Chromium: what it shows, who can use it, and that nothing flashes."""

from __future__ import annotations

import io
import os
import re
import signal
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PIL import Image

from tests.second_screen import demo
from tests.second_screen.browser import WANTED, chromium, violations
from tests.second_screen.serving import Page, served
from tether.dashboard.palette import COLOURS
from tether.model import Verdict
from tether.session.lock import Lock
from tether.session.record import Record, WatchState

if TYPE_CHECKING:
    from playwright.sync_api import Browser
    from playwright.sync_api import Page as Tab

pytestmark = WANTED

SIZES = {"phone": (390, 844), "small phone": (320, 640), "tablet": (1024, 768)}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as made:
        yield made


@pytest.fixture
def page(folder: Path, record: Record) -> Iterator[Page]:
    demo.filled(folder, record)
    with Lock(folder), served(folder) as made:
        yield made


def tab(browser: Browser, page: Page, size: str = "phone", **more: Any) -> Tab:
    width, height = SIZES[size]
    opened = browser.new_context(viewport={"width": width, "height": height}, **more).new_page()
    opened.set_default_timeout(15_000)
    opened.goto(page.url)
    opened.locator("#last[data-verdict=soft]").wait_for()
    return opened


def shown(opened: Tab, verdict: str) -> None:
    opened.locator(f"#last[data-verdict={verdict}]").wait_for()


@pytest.mark.parametrize("size", SIZES)
def test_it_shows_the_verdict_the_shot_list_and_the_reshoots(
    browser: Browser, page: Page, size: str
) -> None:
    opened = tab(browser, page, size)
    complaints: list[str] = []
    opened.on("console", lambda message: complaints.append(message.text))
    opened.on("pageerror", lambda problem: complaints.append(str(problem)))
    text = opened.inner_text("main")
    for told in ("SOFT", "maker-0009", "defocus", "limit 3.5", "Focus again", "Bowl, celadon, rim",
                 "1 of 2", "3 of 3", "covered", "now", "on it"):  # fmt: skip
        assert told in text, told
    colour = opened.evaluate("getComputedStyle(document.getElementById('verdict')).color")
    red, green, blue = (int(COLOURS["soft"][at : at + 2], 16) for at in (1, 3, 5))
    assert colour == f"rgb({red}, {green}, {blue})"
    assert opened.title() == "soft: maker-0009"
    # Nothing is wider than the screen, and the verdict is on one line.
    assert opened.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    box = opened.locator("#word").bounding_box()
    assert box is not None
    assert box["x"] + box["width"] <= SIZES[size][0]
    opened.reload()
    shown(opened, "soft")
    assert complaints == []
    opened.context.close()


def test_every_verdict_has_room_at_every_width(
    browser: Browser, page: Page, record: Record
) -> None:
    opened = tab(browser, page)
    for nth, verdict in enumerate(Verdict, 20):
        demo.add(record, nth, verdict, 4)
        shown(opened, verdict.value)
        for width in (320, 360, 390, 430, 600, 740, 768, 895, 896, 960, 1024, 1180, 1366, 1920):
            opened.set_viewport_size({"width": width, "height": 800})
            word, room = (opened.locator(one).bounding_box() for one in ("#word", "#last"))
            assert word is not None
            assert room is not None
            assert word["x"] + word["width"] <= room["x"] + room["width"], (verdict, width)
            assert opened.evaluate("document.documentElement.scrollWidth") <= width
    opened.context.close()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("scheme", ["dark", "light"])
def test_axe_finds_nothing_wrong(browser: Browser, page: Page, size: str, scheme: str) -> None:
    opened = tab(browser, page, size, color_scheme=scheme)
    assert violations(opened) == []
    opened.context.close()


def test_nor_in_other_verdicts_nor_with_more_contrast_nor_while_not_connected(
    browser: Browser, page: Page, record: Record
) -> None:
    opened = tab(browser, page)
    record.tell(WatchState(alerts="command lamp: status 1", camera_there=False, camera="waiting"))
    for nth, verdict in enumerate((Verdict.SHARP, Verdict.BORDERLINE, Verdict.UNJUDGED), 20):
        demo.add(record, nth, verdict, 4)
        shown(opened, verdict.value)
        assert violations(opened) == []
    assert "alerts fail: command lamp: status 1" in opened.inner_text("#lines")
    for media in ({"contrast": "more"}, {"forced_colors": "active"}, {"reduced_motion": "reduce"}):
        opened.emulate_media(**media)  # type: ignore[arg-type]
        assert violations(opened) == []
    opened.emulate_media(contrast="no-preference", forced_colors="none")
    opened.context.set_offline(True)
    os.kill(page.pid, signal.SIGSTOP)
    try:
        opened.locator("body.stale").wait_for()
        assert violations(opened) == []
    finally:
        os.kill(page.pid, signal.SIGCONT)
    opened.context.close()


def test_what_can_be_pressed_is_large_enough_for_a_thumb(browser: Browser, page: Page) -> None:
    opened = tab(browser, page, "small phone")
    boxes = [one.bounding_box() for one in opened.locator("button, input, a").all()]
    assert boxes
    assert all(box is not None and min(box["width"], box["height"]) >= 48 for box in boxes)
    opened.context.close()


def test_a_screen_reader_is_told(browser: Browser, page: Page, record: Record) -> None:
    """As the tree says that browsers hand to assistive technology (WAI-ARIA 1.2)."""
    opened = tab(browser, page)
    tree = opened.locator("body").aria_snapshot()
    for told in ('heading "tether" [level=1]', 'heading "Reshoots" [level=2]',
                 'heading "Shot list" [level=2]', 'button "on it: Bowl, celadon, rim"',
                 'img "Focus area of maker-0009, at 1:1"', "status: live"):  # fmt: skip
        assert told in tree, tree
    said = opened.locator("#said")
    assert said.get_attribute("role") == "status"  # polite, by WAI-ARIA
    assert said.text_content() == "soft: maker-0009, defocus"
    demo.add(record, 10, Verdict.SHARP, 4)
    shown(opened, "sharp")
    assert said.text_content() == "sharp: maker-0010"
    opened.context.close()


def test_on_it_by_key_and_thumb(browser: Browser, page: Page) -> None:
    one, other = tab(browser, page), tab(browser, page, "tablet", has_touch=True)
    button = one.get_by_role("button", name="on it: Bowl, celadon, rim")
    button.focus()
    button.press("Enter")
    other.get_by_role("button", name="on it", pressed=True).wait_for()
    assert "somebody is on it since" in other.inner_text("#reshoot-list")
    one.get_by_text("somebody is on it since").wait_for()
    # The keys are where they were: the list was drawn anew meanwhile.
    assert one.evaluate("document.activeElement.dataset.reshoot")
    for opened in (one, other):
        opened.context.close()


def test_a_new_verdict_is_there_at_once_and_the_picture_at_its_own_size(
    browser: Browser, page: Page, record: Record
) -> None:
    opened = tab(browser, page)
    time.sleep(0.6)
    demo.add(record, 10, Verdict.SHARP, 4)
    shown(opened, "sharp")
    picture = opened.locator("#picture")
    time.sleep(0.5)
    size = picture.evaluate("one => [one.naturalWidth, one.width, one.naturalHeight, one.height]")
    assert size[0] == size[1] > 0
    assert size[2] == size[3] > 0
    opened.context.close()


def test_silence_is_told_and_what_came_meanwhile_is_there_after_it(
    browser: Browser, page: Page, record: Record
) -> None:
    opened = tab(browser, page)
    os.kill(page.pid, signal.SIGSTOP)
    try:
        opened.locator("body.stale").wait_for()
        assert re.fullmatch(
            r"not connected since \d\d:\d\d:\d\d", opened.text_content("#link") or ""
        )
        demo.add(record, 10, Verdict.SHARP, 4)
    finally:
        os.kill(page.pid, signal.SIGCONT)
    shown(opened, "sharp")
    assert opened.text_content("#link") == "live"
    first = page.pid
    os.kill(first, signal.SIGKILL)
    demo.add(record, 11, Verdict.BORDERLINE, 4)
    shown(opened, "borderline")
    assert page.pid != first
    opened.context.close()


def test_after_a_sleep_it_is_stale_at_once_and_then_right(
    browser: Browser, page: Page, record: Record
) -> None:
    opened = tab(browser, page)
    # What a sleep looks like from inside a page: the clock has jumped, and it is shown again.
    opened.evaluate(
        "() => { const now = Date.now; const gap = 3_600_000; Date.now = () => now() + gap;"
        "document.dispatchEvent(new Event('visibilitychange')); }"
    )
    demo.add(record, 10, Verdict.SHARP, 4)
    shown(opened, "sharp")
    opened.locator("body:not(.stale)").wait_for()
    opened.context.close()


def test_pairing_by_link_and_by_hand(browser: Browser, folder: Path, record: Record) -> None:
    demo.filled(folder, record)
    with Lock(folder), served(folder, host="0.0.0.0") as page:
        for by_hand in (False, True):
            context = browser.new_context(viewport={"width": 390, "height": 844})
            opened = context.new_page()
            opened.goto(page.url)
            assert violations(opened) == []
            if by_hand:
                opened.get_by_label("Code").fill(page.invitation.spoken.lower())
            else:
                opened.goto(f"{page.url}/pair/{page.invitation.code}")
                assert violations(opened) == []
            opened.get_by_role("button", name="Pair this screen").click()
            shown(opened, "soft")
            assert opened.locator("#picture").is_hidden()
            opened.reload()
            shown(opened, "soft")
            context.close()
        opened = browser.new_page()
        opened.goto(page.url)
        opened.get_by_label("Code").fill("0000-0000-0000")
        opened.get_by_role("button").click()
        opened.get_by_role("alert").wait_for()
        assert violations(opened) == []
        opened.close()


def test_nothing_flashes(browser: Browser, page: Page, record: Record) -> None:
    """WCAG 2.3.1: no more than three flashes within any second.

    A flash is a pair of opposing changes of relative luminance by a tenth or more. Frames of
    opposite verdicts come ten a second; what is on the screen is measured in screenshots.
    """
    opened = tab(browser, page, "tablet")
    css = opened.request.get(f"{page.url}/screen.css").text()
    for word in ("animation", "@keyframes", "transition", "blink", "<marquee"):
        assert word not in css
    assert opened.evaluate("document.getAnimations().length") == 0
    at, levels = [], []
    began, nth = time.monotonic(), 100
    while time.monotonic() < began + 5:
        nth += 1
        demo.add(record, nth, (Verdict.SOFT, Verdict.SHARP)[nth % 2], 4)
        at.append(time.monotonic())
        levels.append(brightness(opened.screenshot(animations="allow")))
        time.sleep(max(0.0, 0.1 - (time.monotonic() - at[-1])))
    assert len(at) > 15, "looked often enough to see four changes a second"
    changes = [
        when
        for when, before, after in zip(at[1:], levels, levels[1:], strict=False)
        if np.abs(after - before).max() >= 0.1
    ]
    assert changes, "the verdict was seen to change"
    for first in changes:
        assert sum(first <= when < first + 1 for when in changes) <= 3  # of six that are allowed
    opened.context.close()


def brightness(png: bytes) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Relative luminance (WCAG 2.2) of the page, in squares of 32 px."""
    coded = np.asarray(Image.open(io.BytesIO(png)).convert("RGB"), float) / 255
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    luminance = linear @ (0.2126, 0.7152, 0.0722)
    height, width = (side // 32 * 32 for side in luminance.shape)
    squares = luminance[:height, :width].reshape(height // 32, 32, width // 32, 32)
    return np.asarray(squares.mean(axis=(1, 3)))
