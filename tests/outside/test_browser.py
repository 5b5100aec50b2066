"""The pages in a real browser: headless Chromium, when the machine has one (named skips otherwise).

At 1280 and 390 px nothing sticks out, the pictures are there, the slider works, nothing is logged; printed to
PDF by the browser itself.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from cutprep.job.api import prepare

SAMPLES = Path(__file__).parents[2] / "samples"
BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--virtual-time-budget=3000",
]  # fmt: skip

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine: pages are not opened"),
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
  const maps = [...document.querySelectorAll("main svg.map")].map(m => m.getBoundingClientRect());
  document.title = JSON.stringify({
    scroll: document.documentElement.scrollWidth, inner: innerWidth,
    wide: wide.map(e => e.tagName + "." + e.className), problems, moved,
    flat: maps.filter(b => b.width < 5 || b.height < 2).length, maps: maps.length,
  });
});
</script>"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A prepared job."""
    out = tmp_path_factory.mktemp("pages") / "out"
    prepare(SAMPLES / "jar-carton.svg", copies=12, machine="mat-cutter-300", language="hpgl", out=out)
    return out


def browse(*words: str, profile: Path) -> str:
    assert BROWSER is not None
    done = subprocess.run(
        [BROWSER, *FLAGS, f"--user-data-dir={profile}", *words],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return done.stdout


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("page", ["job-sheet.html", "making-sheet.html"])
def test_nothing_sticks_out_and_the_slider_works(folder: Path, page: str, width: int, tmp_path: Path) -> None:
    probed = tmp_path / page
    frame = tmp_path / "frame.html"
    # A headless window is at least some 500 px wide, so the phone's width is that of a frame.
    probed.write_text((folder / page).read_text().replace("<head>", f"<head>{PROBE}", 1))
    frame.write_text(
        f'<!doctype html><title>wait</title><iframe id="f" src="{page}" style="width:{width}px;height:900px;border:0">'
        "</iframe><script>onload = () => setTimeout(() => {"
        'document.body.dataset.told = document.getElementById("f").contentDocument.title; }, 500);</script>'
    )
    dom = browse(
        "--allow-file-access-from-files",
        "--window-size=1400,1000",
        "--dump-dom",
        frame.as_uri(),
        profile=tmp_path / "p",
    )
    told = re.search(r'data-told="([^"]*)"', dom)
    assert told is not None, dom[-500:]
    seen = json.loads(told[1].replace("&quot;", '"'))
    assert seen["inner"] == width
    assert seen["scroll"] <= width, seen["wide"]
    assert seen["wide"] == []
    assert seen["problems"] == []
    assert seen["flat"] == 0
    assert seen["maps"] > 0
    if page == "job-sheet.html":
        everything, first = seen["moved"]
        assert first == 1 < everything


@pytest.mark.parametrize("page", ["job-sheet.html", "making-sheet.html"])
def test_it_prints(folder: Path, page: str, tmp_path: Path) -> None:
    pdf = tmp_path / "page.pdf"
    browse(
        f"--print-to-pdf={pdf}", "--no-pdf-header-footer", (folder / page).as_uri(), profile=tmp_path / "p"
    )
    data = pdf.read_bytes()
    assert data.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type\s*/Page\b", data)) >= 2
