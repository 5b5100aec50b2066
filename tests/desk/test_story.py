"""The honey fair as one story: from dropped files to saved ones, by mouse, by touch and by keyboard alone.

Whichever hand did it, the files are those of the command line, byte for byte.
"""

from __future__ import annotations

import base64
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path
from typing import Any, ClassVar

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.desk_browser import IN_A_BROWSER, Seen, done, seeing
from tests.desk_server import SAMPLES, Running

pytestmark = IN_A_BROWSER

FAIR = ("honey-fair.toml", "jar-carton.svg", "display-tray.svg", "swing-tag.svg", "divider.svg")
PATHS = [SAMPLES / name for name in FAIR]
_DROP = """([form, files]) => {
  const carried = new DataTransfer();
  for (const [name, data] of files) { carried.items.add(new File([Uint8Array.from(atob(data), c => c.charCodeAt(0))], name)); }
  for (const kind of ["dragover", "drop"]) { form.dispatchEvent(new DragEvent(kind, { dataTransfer: carried, bubbles: true, cancelable: true })); }
}"""


class Mouse:
    """Drops, clicks, and types where it clicked."""

    context: ClassVar[dict[str, Any]] = {}

    def __init__(self, page: Page) -> None:
        self.page = page

    def bring(self) -> None:
        """Files are dragged onto the page, which begins at once."""
        files = [[path.name, base64.b64encode(path.read_bytes()).decode()] for path in PATHS]
        self.page.evaluate(_DROP, [self.page.locator("form.drop").element_handle(), files])

    def press(self, what: Locator) -> None:
        what.click()

    def write(self, field: Locator, words: str) -> None:
        field.click(click_count=3)
        self.page.keyboard.type(words)
        self.page.locator("h1").click()


class Finger(Mouse):
    """Taps."""

    context: ClassVar[dict[str, Any]] = {
        "viewport": {"width": 390, "height": 840},
        "has_touch": True,
        "is_mobile": True,
    }

    def bring(self) -> None:
        with self.page.expect_file_chooser() as chosen:
            self.press(self.page.locator("#files"))
        chosen.value.set_files(PATHS)
        self.press(self.page.get_by_role("button", name="begin", exact=True))

    def press(self, what: Locator) -> None:
        what.tap()

    def write(self, field: Locator, words: str) -> None:
        field.tap()
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(words)
        self.page.locator("h1").tap()


class Keys(Finger):
    """Presses keys alone: Tab leads to everything."""

    context: ClassVar[dict[str, Any]] = {}

    def to(self, what: Locator) -> None:
        """Walk on with Tab until it is there."""
        for _ in range(400):
            if what.evaluate("one => one === document.activeElement"):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"no Tab leads to {what}")

    def press(self, what: Locator) -> None:
        self.to(what)
        self.page.keyboard.press("Enter")

    def write(self, field: Locator, words: str) -> None:
        self.to(field)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(words)
        self.page.keyboard.press("Tab")


@pytest.fixture(scope="module")
def by_the_command(
    desk: Running, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[str], dict[str, bytes]]:
    """What the command line makes of a job's folder; of the same job file it is made once."""
    made: dict[str, dict[str, bytes]] = {}

    def files(job: str) -> dict[str, bytes]:
        text = (desk.folder / job / "job.toml").read_text()
        if text not in made:
            out = tmp_path_factory.mktemp("command") / "out"
            desk.require_same_as_the_command(job, out)
            made[text] = {path.name: path.read_bytes() for path in out.iterdir()}
        return made[text]

    return files


@pytest.mark.parametrize("hand", [Mouse, Finger, Keys])
def test_the_honey_fair_from_drop_to_files(
    browser: Browser,
    desk: Running,
    by_the_command: Callable[[str], dict[str, bytes]],
    seen: Seen,
    hand: type[Mouse],
    tmp_path: Path,
) -> None:
    with seeing(browser, desk, **hand.context) if hand.context else nullcontext(seen) as one:
        page = one.first()
        with_hand = hand(page)
        with_hand.bring()
        page.wait_for_url("**/jobs/*")
        job = page.url.rpartition("/")[2]
        page.wait_for_selector("#making[data-state=done]")
        with_hand.press(page.locator("#making > summary"))
        with_hand.write(page.get_by_label("How many sets"), "1")
        expect(page.locator("#making .answer")).to_contain_text("8 of jar-carton.svg")
        with_hand.press(page.locator("#sheets > summary"))
        with_hand.write(page.get_by_label("Distance between pieces"), "1/8 in")
        expect(page.locator("body")).to_have_attribute("data-version", "3")
        done(page)
        with_hand.press(page.locator("#cutting > summary"))
        with_hand.write(page.get_by_label("Folder", exact=True), str(tmp_path / "fair"))
        with_hand.press(page.get_by_role("button", name="save"))
        expect(page.locator("#told")).to_contain_text(str(tmp_path / "fair"))
        saved = {path.name: path.read_bytes() for path in (tmp_path / "fair").iterdir()}
    assert 'gap = "1/8 in"' in (desk.folder / job / "job.toml").read_text()
    assert saved == by_the_command(job)
