"""The desk: start, memory, first picture, and zooming through 100,000 lines: `python -m tests.bench.desk`.

First paint is the browser's own (`performance`, "first-contentful-paint") after the start of the process; memory is the
server's resident set before any job; the picture of a large drawing stands when its canvas says so; frames are counted
by the browser's clock while the picture is zoomed and moved.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.desk_server import SAMPLES, running

LINES = 100_000
SECONDS = 3.0
_FRAMES = """(seconds) => new Promise((done) => {
  const canvas = document.querySelector("#lines canvas"), begun = performance.now();
  const times = [], costs = [];
  let last = begun, n = 0;
  const frame = (now) => {
    times.push(now - last);
    last = now;
    n += 1;
    const up = Math.floor(n / 30) % 2;
    const before = performance.now();
    canvas.dispatchEvent(new WheelEvent("wheel", { deltaY: up ? 40 : -40, clientX: 300, clientY: 300, bubbles: true, cancelable: true }));
    costs.push(performance.now() - before);
    if (now - begun < 1000 * seconds) { requestAnimationFrame(frame); } else { done([times.slice(2), costs]); }
  };
  requestAnimationFrame(frame);
})"""


def drawing(count: int = LINES) -> bytes:
    """Short lines over a sheet, a hundred to a path."""
    rows = []
    for i in range(count // 100):
        parts = "".join(
            f"M{(i * 100 + k) % 400 * 0.75:.2f} {(i * 100 + k) // 400 * 1.2:.2f}l.6 .9" for k in range(100)
        )
        rows.append(f'<path d="{parts}"/>')
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300">'
        '<g id="draw" fill="none" stroke="#000">'
    )
    return (head + "".join(rows) + "</g></svg>").encode()


def resident(pid: int) -> float:
    """Resident memory of a process, MB."""
    pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def main() -> None:
    """Print all figures."""
    chromium = shutil.which("chromium")
    if chromium is None:
        sys.exit("no Chromium on this machine")
    with tempfile.TemporaryDirectory() as name, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        begun = time.time()
        with running(Path(name)) as desk:
            page.goto(desk.address)
            paint = "() => performance.timeOrigin + performance.getEntriesByName('first-contentful-paint')[0].startTime"
            page.wait_for_timeout(300)
            print(f"start to first paint   {page.evaluate(paint) / 1000 - begun:6.2f} s")
            print(f"server, idle           {resident(desk.process.pid):6.0f} MB")
            big = Path(name) / "big.svg"
            big.write_bytes(drawing())
            begun = time.perf_counter()
            from cutprep.job.api import read

            read(big)
            reading = time.perf_counter() - begun
            page.set_input_files("#files", big)
            begun = time.perf_counter()
            page.get_by_role("button", name="begin").click()
            page.wait_for_url("**/jobs/*")
            page.locator("#lines > summary").click()
            page.wait_for_selector("#lines figure[data-ready=yes]", timeout=300_000)
            first = time.perf_counter() - begun
            print(
                f"reading {LINES:,} lines  {reading:6.2f} s; first picture {first:.2f} s, {first / reading:.2f} times"
            )
            times, costs = map(sorted, page.evaluate(_FRAMES, SECONDS))
            print(
                f"frames while zooming   {len(times) / SECONDS:6.1f} a second; median {times[len(times) // 2]:.1f} ms, "
                f"95 % below {times[int(0.95 * len(times))]:.1f} ms"
            )
            # On a machine that others share the page's own share says more than how often it was let draw.
            print(
                f"of it the page's own   {costs[len(costs) // 2]:6.1f} ms a frame, at most {costs[-1]:.1f} ms"
            )
            page.goto(desk.address)
            page.set_input_files("#files", SAMPLES / "jar-carton.svg")
            begun = time.perf_counter()
            page.get_by_role("button", name="begin").click()
            page.wait_for_selector("#cutting[data-state=done]", timeout=60_000)
            print(f"jar carton, all settled {time.perf_counter() - begun:5.2f} s")
        browser.close()


if __name__ == "__main__":
    main()
