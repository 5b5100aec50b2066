"""The pages in a real browser: headless Chromium, when the machine has one (named skips otherwise).

At 1280, 768 and 390 px, light and dark, nothing sticks out, no two words of a picture meet, every text has a contrast
of 4.5 to 1 (WCAG 2.2, success criterion 1.4.3), the slider works, nothing is logged; printed to PDF by the browser
itself.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from cutprep.job.api import make_job, prepare
from cutprep.job.pipeline import run
from cutprep.report.makingsheet import making_sheet
from cutprep.stages.write.svg_file import write_svg
from cutprep.template.kinds import KINDS
from tests.browsing import CHROMIUM, opened

SAMPLES = Path(__file__).parents[2] / "samples"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine: pages are not opened"),
]

PROBE = """<script>
window.problems = [];
window.addEventListener("error", e => problems.push(e.message));
window.addEventListener("load", () => {
  const wide = [...document.querySelectorAll("body *")].filter(e =>
    !e.closest(".scroll") && !e.closest("svg") && e.getBoundingClientRect().right > innerWidth + 1);
  const slider = document.querySelector(".play input");
  let moved = null;
  if (slider) {
    const seen = () => [...document.querySelectorAll(".sheet")][0].querySelectorAll('.step[style*="visible"]').length;
    const all = seen(); slider.value = 1; slider.dispatchEvent(new Event("input"));
    moved = [all, seen()];
  }
  const met = [];
  for (const picture of document.querySelectorAll("svg")) {
    const words = [...picture.querySelectorAll("text")].map(t => [t.textContent, t.getBoundingClientRect()]);
    words.forEach(([one, a], i) => words.slice(i + 1).forEach(([other, b]) => {
      if (a.width && b.width && a.left < b.right - .5 && b.left < a.right - .5 && a.top < b.bottom - .5 && b.top < a.bottom - .5)
        met.push(one + " and " + other);
    }));
  }
  const light = colour => {
    const [r, g, b] = colour.match(/[\\d.]+/g).slice(0, 3).map(c => c / 255).map(c => c <= .04045 ? c / 12.92 : ((c + .055) / 1.055) ** 2.4);
    return .2126 * r + .7152 * g + .0722 * b;
  };
  const faint = [...document.querySelectorAll("body *")].filter(e => {
    if (e.closest("svg, script, style") || ![...e.childNodes].some(c => c.nodeType === 3 && c.data.trim())) return false;
    let ground = e;
    while (ground.parentElement && getComputedStyle(ground).backgroundColor === "rgba(0, 0, 0, 0)") ground = ground.parentElement;
    const [a, b] = [e, ground].map((n, i) => light(getComputedStyle(n)[i ? "backgroundColor" : "color"]));
    return (Math.max(a, b) + .05) / (Math.min(a, b) + .05) < 4.5;
  }).map(e => e.textContent.trim().slice(0, 30));
  const figures = [...document.querySelectorAll(".sheet .tools td")].filter(c => c.textContent.trim() && c.getBoundingClientRect().right > innerWidth);
  const maps = [...document.querySelectorAll("main svg.map")].map(m => m.getBoundingClientRect());
  document.title = JSON.stringify({
    scroll: document.documentElement.scrollWidth, inner: innerWidth,
    wide: wide.map(e => e.tagName + "." + e.className), problems, moved,
    met, faint, hidden: figures.map(c => c.textContent), dark: matchMedia("(prefers-color-scheme: dark)").matches,
    clipped: [...document.querySelectorAll(".scroll")].filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.textContent.trim().slice(0, 30)),
    flat: maps.filter(b => b.width < 5 || b.height < 2).length, maps: maps.length,
  });
});
</script>"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A prepared job."""
    out = tmp_path_factory.mktemp("pages") / "out"
    prepare(
        SAMPLES / "jar-carton.svg",
        copies=12,
        machine="mat-cutter-300",
        language="hpgl",
        effort="quick",
        out=out,
    )
    return out


def probed(browser: Browser, text: str, tmp_path: Path, width: int, **context: Any) -> dict[str, Any]:
    """Open a page in a window so wide; what the probe in it found."""
    path = tmp_path / "page.html"
    path.write_text(text.replace("<head>", f"<head>{PROBE}", 1))
    with opened(browser, path, viewport={"width": width, "height": 900}, **context) as page:
        found: dict[str, Any] = json.loads(page.title())
    return found


@pytest.mark.parametrize(("width", "dark"), [(1280, False), (768, True), (390, False)])
@pytest.mark.parametrize("page", ["job-sheet.html", "making-sheet.html"])
def test_nothing_sticks_out_and_the_slider_works(
    browser: Browser, folder: Path, page: str, width: int, dark: bool, tmp_path: Path
) -> None:
    seen = probed(
        browser, (folder / page).read_text(), tmp_path, width, color_scheme="dark" if dark else "light"
    )
    assert seen["inner"] == width
    assert seen["scroll"] <= width, seen["wide"]
    assert seen["wide"] == []
    assert seen["problems"] == []
    assert seen["dark"] is dark
    assert seen["met"] == [], "words in pictures don't touch"
    assert seen["faint"] == [], "contrast of at least 4.5 to 1"
    assert seen["hidden"] == [], "every figure of a tool is on the screen"
    assert width < 768 or seen["clipped"] == [], "only a phone's tables scroll sideways"
    assert seen["flat"] == 0
    assert seen["maps"] > 0
    if page == "job-sheet.html":
        everything, first = seen["moved"]
        assert first == 1 < everything


def printed(browser: Browser, page: Path, size: str, tmp_path: Path) -> int:
    """Print a page; how many pages its PDF has."""
    copy = tmp_path / "copy.html"
    copy.write_text(page.read_text().replace("<head>", f"<head><style>@page {{ size: {size} }}</style>", 1))
    with opened(browser, copy) as shown:
        data = shown.pdf(prefer_css_page_size=True)
    assert data.startswith(b"%PDF-")
    return len(re.findall(rb"/Type\s*/Page\b", data))


@pytest.mark.parametrize("size", ["A4", "letter"])
def test_each_sheet_is_one_printed_page_and_each_template_too(
    browser: Browser, folder: Path, size: str, tmp_path: Path
) -> None:
    """First page, cautions where they don't fit on it, a page a sheet, and what remains; a card, and cautions."""
    sheets = len(list(folder.glob("sheet-*.hpgl")))
    assert sheets + 2 <= printed(browser, folder / "job-sheet.html", size, tmp_path) <= sheets + 3
    assert printed(browser, folder / "making-sheet.html", size, tmp_path) <= 2


def test_a_pillow_box_is_one_page(browser: Browser, tmp_path: Path) -> None:
    """Four curves, not 104 slanting scores: the card and the cautions."""
    drawing = KINDS["pillow-box"].from_values()
    path = tmp_path / "pillow-box.svg"
    path.write_text(write_svg(drawing.lines, page=drawing.page, keep=True), encoding="utf-8")
    page = tmp_path / "page.html"
    page.write_text(making_sheet(run(make_job(path, effort="quick"))), encoding="utf-8")
    assert printed(browser, page, "A4", tmp_path) <= 2


@pytest.mark.parametrize("page", ["job-sheet.html", "making-sheet.html"])
def test_nothing_is_wider_than_the_printed_page(
    browser: Browser, folder: Path, page: str, tmp_path: Path
) -> None:
    """The rules of print in a window as wide as A4 inside its margins of 12 mm: 186 mm."""
    text = (
        (folder / page)
        .read_text()
        .replace("@media screen", "@media speech")
        .replace("@media print", "@media all")
    )
    seen = probed(browser, text, tmp_path, int(186 / 25.4 * 96))
    assert seen["wide"] == []
    assert seen["scroll"] <= seen["inner"]
