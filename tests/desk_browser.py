"""A maker at the desk in a real browser: her page, and what went wrong in it.

Driven by Playwright over the machine's Chromium; axe-core finds what a program can find against WCAG 2.2 AA.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browsing import CHROMIUM
from tests.desk_server import SAMPLES, Running

SECTIONS = ("making", "lines", "wrong", "folds", "card", "sheets", "cutting")
_RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    }
}
#: Of all rules the only ones that look at colours: what is the same in light and dark need not be found twice.
OF_COLOURS = {"runOnly": {"type": "tag", "values": ["cat.color"]}}
#: What another width of the page may change: how far targets are apart, and whether what scrolls is reached by keys.
OF_WIDTH = {"runOnly": {"type": "rule", "values": ["target-size", "scrollable-region-focusable"]}}
#: Without a browser the tests skip by name on a private machine, and fail where CI says that it runs.
IN_A_BROWSER = [
    pytest.mark.browser,
    pytest.mark.skipif(
        CHROMIUM is None and not os.environ.get("CI"),
        reason="no Chromium on this machine: the desk is not opened",
    ),
]


class Seen:
    """A page, and what went wrong in it."""

    def __init__(self, browser: Browser, desk: Running, **context: Any) -> None:
        # Without motion: what moves while she waits is drawn sixty times a second, for nothing that is tried.
        still = {"viewport": {"width": 1280, "height": 900}, "reduced_motion": "reduce"}
        self.context = browser.new_context(**{**still, **context})
        self.context.set_default_timeout(60_000)
        expect.set_options(timeout=30_000)
        self.desk = desk
        self.page = self.context.new_page()
        self.wrong: list[str] = []
        self.page.on("pageerror", lambda fault: self.wrong.append(str(fault)))
        self.page.on("console", lambda said: self.wrong.append(said.text) if said.type == "error" else None)
        name, _, value = desk.enter().partition("=")  # as the address that was printed lets her in
        self.context.add_cookies([{"name": name, "value": value, "url": f"http://127.0.0.1:{desk.port}"}])

    def afresh(self) -> None:
        """As it was opened, for the next one: its scripts and styles are known already."""
        for other in self.context.pages[1:]:
            other.close()
        self.page.mouse.up()
        self.page.goto("about:blank")
        self.page.set_viewport_size({"width": 1280, "height": 900})
        self.page.emulate_media(media="screen", color_scheme="light", reduced_motion="reduce")
        self.wrong = []

    def first(self) -> Page:
        """The first page."""
        self.page.goto(self.desk.address.split("?")[0])
        return self.page

    def job(self, job: str) -> Page:
        """The paper of a job, once it is done."""
        self.page.goto(f"{self.desk.address.split('?')[0]}jobs/{job}")
        done(self.page)
        return self.page

    def of_my_own(self, *names: str) -> tuple[Page, str]:
        """A job of some samples that nobody else sees, once it is done."""
        job = self.desk.begun(*names)
        return self.job(job), job

    def forget_refusals(self) -> None:
        """A refused request is logged by the browser as such."""
        self.wrong = [words for words in self.wrong if "422" not in words]


@contextmanager
def seeing(browser: Browser, desk: Running, **context: Any) -> Iterator[Seen]:
    """Open a page; nothing may go wrong in it."""
    one = Seen(browser, desk, **context)
    try:
        yield one
        assert one.wrong == [], one.wrong
    finally:
        one.context.close()


def drop(page: Page, *names: str) -> str:
    """Choose samples on the first page and begin; the job's name."""
    page.set_input_files("#files", [SAMPLES / name for name in names])
    page.get_by_role("button", name="begin", exact=True).click()
    page.wait_for_url("**/jobs/*")
    return page.url.rpartition("/")[2]


def done(page: Page) -> None:
    """Wait until all that she did has been taken, the page has heard of it, and the files are proved."""
    at_rest(page, "[data-state=done]")


def at_rest(page: Page, cutting: str = "") -> None:
    """Wait until the page sends, fetches and awaits nothing more.

    What she does is under way before her click, key or choice returns (`data-busy` of the page), and is so until the
    worker has told the page that it is done: no test can see what was there before.
    """
    page.wait_for_selector(f"body[data-busy=no] #cutting{cutting}", timeout=90_000)


def unfold(page: Page, *sections: str) -> None:
    """Open sections."""
    for name in sections or SECTIONS:
        if page.locator(f"#{name}").get_attribute("open") is None:
            page.locator(f"#{name} > summary").click()


def violations(page: Page, rules: dict[str, Any] = _RULES) -> list[str]:
    """What axe finds. What is right is not listed, which would take longer than to look; a page knows axe once."""
    axe = Axe("" if page.evaluate("'axe' in window") else AXE_SCRIPT)
    found = axe.run(page, options={**rules, "resultTypes": ["violations"]}).response["violations"]
    return [f"{v['id']}: {n['target']} {n['failureSummary']}" for v in found for n in v["nodes"]]


def type_into(field: Locator, words: str) -> None:
    """Fill a field and leave it."""
    field.fill(words)
    field.blur()
