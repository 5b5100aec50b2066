"""The machine's Chromium, driven by Playwright: started once for all tests of a process that open a page."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


@contextmanager
def started() -> Iterator[Browser]:
    """Start the browser, and end it."""
    assert CHROMIUM is not None, "CI has to have a browser"
    with sync_playwright() as play:
        one = play.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-quic", "--disable-gpu"]
        )
        yield one
        one.close()


@contextmanager
def opened(browser: Browser, path: Path, **context: Any) -> Iterator[Page]:
    """Open a file in a window of its own that reaches no network, once it is loaded."""
    window = browser.new_context(offline=True, **context)
    try:
        page = window.new_page()
        page.goto(path.as_uri())
        yield page
    finally:
        window.close()
