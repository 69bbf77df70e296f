"""Real Chromium, as Debian packages it, on the page."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import pytest

from tests import axe

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PROGRAM = shutil.which("chromium")
WANTED = pytest.mark.skipif(PROGRAM is None, reason="no chromium: install Debian's package")

# The rules of WCAG 2.2 up to AA, and what axe-core calls best practices.
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser; as root it cannot be fenced in by itself."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=PROGRAM, args=["--no-sandbox"])
        yield browser
        browser.close()


def violations(page: Page) -> list[str]:
    """What axe-core finds wrong with the page as it stands: rule, and where."""
    if not axe.SCRIPT.is_file():
        pytest.skip(axe.HOW)
    page.evaluate(axe.SCRIPT.read_text(encoding="utf-8"))
    found: dict[str, Any] = page.evaluate(
        "tags => axe.run(document, { runOnly: { type: 'tag', values: tags } })", TAGS
    )
    assert len(found["passes"]) > 10, "the rules were run"
    return [f"{one['id']}: {node['html']}" for one in found["violations"] for node in one["nodes"]]
