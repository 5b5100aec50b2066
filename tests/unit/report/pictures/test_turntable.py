"""The view to turn in a page."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser

from cutprep.geometry.space.hinged import pose
from cutprep.report.pictures.folded import best_azimuth
from cutprep.report.pictures.turntable import turntable
from tests.browsing import CHROMIUM, opened
from tests.folding import folded
from tests.nets import gathered, hex_prism, pillow, swing_tag, tray, webbed_tray


def data_of(page: str) -> dict:
    return json.loads(re.search(r'<script type="application/json"[^>]*>(.*?)</script>', page, re.DOTALL)[1])  # type: ignore[index]


def test_it_needs_nothing_from_anywhere() -> None:
    page = turntable(folded(tray()))
    assert not re.search(
        r"\b(src|href)=|@import|url\((?!#)|fetch\(|XMLHttpRequest|https?://(?!www\.w3\.org)", page
    )


def test_it_shows_a_still_picture_without_script() -> None:
    page = turntable(folded(tray()))
    assert re.search(r'<div class="still"><svg', page)
    assert '<div class="live" hidden>' in page


def test_it_can_be_reached_by_keys_and_says_what_it_is() -> None:
    page = turntable(folded(tray()))
    assert 'tabindex="0"' in page
    assert re.search(r'<canvas[^>]*aria-label="tray, folded: open box', page)
    assert re.search(r'<input type="range"[^>]*aria-label="Fold tray"', page)


def test_a_name_cannot_break_out_of_the_page() -> None:
    page = turntable(replace(folded(tray()), name='</script><b>"x"&'))
    assert page.count("</script>") == 2
    assert "<b>" not in page
    assert data_of(page)["name"] == '</script><b>"x"&'


def test_keys_keep_figures_apart() -> None:
    one, two = turntable(folded(tray()), key="a"), turntable(folded(tray()), key="b-2")
    assert 'id="a-data"' in one
    assert 'id="b-2-data"' in two
    assert "@KEY@" not in one
    with pytest.raises(ValueError, match="no id"):
        turntable(folded(tray()), key="a b")


@pytest.mark.parametrize("sketch", [pillow(), swing_tag()])
def test_what_does_not_fold_can_still_be_turned(sketch) -> None:
    data = data_of(turntable(folded(sketch)))
    assert len(data["angles"][0]) == len(data["panels"])


def test_what_was_not_solved_stays_flat() -> None:
    data = data_of(turntable(replace(folded(tray()), motion=None)))
    assert {angle for row in data["angles"] for angle in row} == {0}


def test_triangles_cover_the_panels() -> None:
    s = tray().ring((80, 60), (130, 60), (130, 90), (80, 90))
    panels = data_of(turntable(folded(s)))["panels"]
    for panel in panels:

        def area(ring):
            x, y = np.array(ring).T
            return abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2

        whole = area(panel["outline"]) - sum(area(h) for h in panel["holes"])
        assert sum(area(t) for t in panel["triangles"]) == pytest.approx(whole, abs=0.1)


PROBE = """
<script>
function note(name, text) { document.body.setAttribute("data-" + name, text); }
var f = document.getElementById("t"), c = f.querySelector("canvas"), s = f.querySelector("input");
function ink() {
  var p = c.getContext("2d").getImageData(0, 0, c.width, c.height).data, n = 0, h = 0;
  for (var i = 0; i < p.length; i += 4) { if (p[i + 3]) { n += 1; h = (h * 31 + p[i] + i) % 1000003; } }
  return n + ":" + h;
}
note("ready", f.getAttribute("data-ready"));
note("still", f.querySelector(".still").hidden);
note("folded", ink()); note("order", f.getAttribute("data-order"));
s.value = 40; s.dispatchEvent(new Event("input"));
note("half", ink()); note("said", f.querySelector("output").textContent);
s.value = 0; s.dispatchEvent(new Event("input"));
note("flat", ink()); note("flat-said", s.getAttribute("aria-valuetext"));
c.dispatchEvent(new PointerEvent("pointerdown", { clientX: 10, clientY: 10 }));
c.dispatchEvent(new PointerEvent("pointermove", { clientX: 60, clientY: 30 }));
c.dispatchEvent(new PointerEvent("pointerup", {}));
note("dragged", f.getAttribute("data-look"));
c.dispatchEvent(new PointerEvent("pointermove", { clientX: 160, clientY: 30 }));
note("let-go", f.getAttribute("data-look"));
c.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight" }));
c.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowUp" }));
note("keyed", f.getAttribute("data-look"));
c.dispatchEvent(new KeyboardEvent("keydown", { key: "+" }));
note("plus", f.querySelector("output").textContent);
c.dispatchEvent(new KeyboardEvent("keydown", { key: "Home" }));
note("home", f.getAttribute("data-look"));
s.value = 100; s.dispatchEvent(new Event("input"));
note("again", ink());
</script>
"""


def browse(browser: Browser, folder: Path, page: str) -> dict[str, str]:
    """Open a page in the browser without a network and give the notes its probe left."""
    path = folder / "page.html"
    path.write_text(f"<!doctype html><meta charset=utf-8><body>{page}{PROBE}</body>", encoding="utf-8")
    with opened(browser, path) as shown:
        notes: dict[str, str] = shown.evaluate(_NOTES)
    return notes


_NOTES = """() => Object.fromEntries([...document.body.attributes].filter(a => a.name.startsWith("data-")).map(
  a => [a.name.slice(5), a.value]))"""


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine")
@pytest.mark.parametrize("sketch", [tray(), hex_prism(), webbed_tray(), gathered()], ids=lambda s: s.name)
def test_in_a_browser(browser: Browser, tmp_path: Path, sketch) -> None:
    report = folded(sketch)
    notes = browse(browser, tmp_path, turntable(report, key="t"))
    assert notes["ready"] == "yes"
    assert notes["still"] == "true"
    assert notes["said"] == "40 % folded"
    assert notes["flat-said"] == "flat"
    assert len({notes["folded"], notes["half"], notes["flat"]}) == 3
    assert notes["again"] == notes["folded"]
    azimuth, elevation = map(float, notes["home"].split())
    assert (azimuth, elevation) == (best_azimuth(report), 52.0 if report.open_sides else 34.0)
    assert (
        notes["dragged"] == f"{azimuth - 30:.1f} {elevation + 12:.1f}"
    )  # 50 px right and 20 down, 0.6 degrees each
    assert notes["let-go"] == notes["dragged"]
    assert notes["keyed"] == f"{azimuth - 40:.1f} {elevation + 2:.1f}"
    assert notes["plus"] == "5 % folded"
    assert sorted(notes["order"].split()) == sorted(p.name for p in report.panels)


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine")
def test_the_browser_folds_as_we_do(browser: Browser, tmp_path: Path) -> None:
    """The script's own arithmetic against ours: corners of all panels at 60 % of folding."""
    report = folded(webbed_tray())
    page = turntable(report, key="t")
    spy = page.replace('figure.setAttribute("data-ready", "yes");', (
        'figure.setAttribute("data-ready", "yes"); var poses = placed(0.6), all = part.panels.map(function (p, i) {'
        "return p.outline.map(function (q) { return add(apply(poses[i].turn, [q[0], q[1], 0]), poses[i].shift); }); });"
        'root.document.body.setAttribute("data-corners", JSON.stringify(all));'
    ))  # fmt: skip
    assert spy != page
    corners = json.loads(browse(browser, tmp_path, spy)["corners"])
    for got, want in zip(corners, pose(report, 0.6), strict=True):
        assert np.abs(np.array(got) - want[:-1]).max() < 0.01
