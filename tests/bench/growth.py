"""Processor time and peak memory as drawings and jobs grow: `python -m tests.bench.growth [most lines] [most copies]`.

Each case runs in a process of its own, so that the peak is its own (`ru_maxrss`). A factor of 10 in size
should cost a factor near 10; the last column shows the power p of size that the step costs, time ~ size^p.
"""

from __future__ import annotations

import json
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path

_CHILD = """
import json, resource, sys, time
from pathlib import Path
from cutprep.job.api import check, make_job, make_rules, prepare_job, read
what, source, copies = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
begin = time.process_time()
if what == "read":
    size = len(read(source).lines.xy)
elif what == "check":
    size = len(check(source))
else:
    rules = make_rules({"pen": "draw"} if 'id="pen"' in source.read_text() else {})
    job = make_job(source, copies=copies, effort=what, despite_findings=True, rules=rules)
    size = len(prepare_job(job, Path(sys.argv[4])).sheets)
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(json.dumps([time.process_time() - begin, peak / 1024, size]))
"""
_EDGE = 280.0  # mm


def honeycomb(cells: int) -> str:
    """A panel with so many closed hexagonal windows, six segments each."""
    side = math.ceil(math.sqrt(cells))
    pitch = _EDGE / side
    turns = [math.radians(60 * k) for k in range(6)]
    rows = []
    for k in range(cells):
        x, y = 10 + (k % side + 0.5) * pitch, 10 + (k // side + 0.5) * pitch
        spots = " ".join(
            f"{x + 0.4 * pitch * math.cos(a):.3f},{y + 0.4 * pitch * math.sin(a):.3f}" for a in turns
        )
        rows.append(f'<path d="M{spots}z"/>')
    return page(f'<g id="cut"><path d="M5 5H295V295H5z"/>{"".join(rows)}</g>')


def hatched(lines: int) -> str:
    """A panel with so many single pen lines of one segment each."""
    side = math.ceil(math.sqrt(lines))
    pitch = _EDGE / side
    body = "".join(
        f'<path d="M{10 + (k % side) * pitch:.3f} {10 + (k // side) * pitch:.3f}l{0.5 * pitch:.3f} {0.3 * pitch:.3f}"/>'
        for k in range(lines)
    )
    return page(f'<g id="cut"><path d="M5 5H295V295H5z"/></g><g id="pen">{body}</g>')


def tag() -> str:
    """A small tag with a hole."""
    return page('<g id="cut"><path d="M0 4L4 0H26V18H4L0 14z"/><circle cx="5" cy="9" r="1.5"/></g>')


def page(body: str) -> str:
    """A drawing of a sheet of 300 mm."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300"'
    return f'{head} fill="none" stroke="#402010" stroke-width="0.1">{body}</svg>'


def measure(what: str, drawing: str, copies: int = 1) -> tuple[float, float, int]:
    """Seconds of the processor, peak MB and the size of the result."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "panel.svg"
        source.write_text(drawing)
        command = [sys.executable, "-c", _CHILD, what, str(source), str(copies), str(Path(folder) / "out")]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"{what}: {done.stderr[-600:]}")
    seconds, peak, size = json.loads(done.stdout.splitlines()[-1])
    return float(seconds), float(peak), int(size)


def table(name: str, what: str, cases: list[tuple[int, str, int]]) -> None:
    """Print one series."""
    print(f"\n{name}\n{'size':>10s} {'seconds':>9s} {'peak MB':>8s} {'result':>8s} {'power':>6s}")
    before: tuple[int, float] | None = None
    for size, drawing, copies in cases:
        seconds, peak, result = measure(what, drawing, copies)
        power = "" if before is None else f"{math.log(seconds / before[1]) / math.log(size / before[0]):6.2f}"
        print(f"{size:10d} {seconds:9.2f} {peak:8.0f} {result:8d} {power}", flush=True)
        before = size, seconds


def main() -> None:
    """Print every series."""
    most_lines = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    most_copies = int(sys.argv[2]) if len(sys.argv) > 2 else 10_000
    began = time.monotonic()
    sizes = [n for n in (1_000, 10_000, 100_000) if n <= most_lines]
    cells = [(n, honeycomb(n // 6), 1) for n in sizes]
    table("read, segments in closed hexagons", "read", cells)
    table("check, segments in closed hexagons", "check", cells)
    table("prepare (quick), segments in closed hexagons", "quick", cells)
    hatch = [(n, hatched(n), 1) for n in sizes]
    table("check, single pen lines", "check", hatch)
    table("prepare (quick), single pen lines", "quick", hatch)
    copies = [(n, tag(), n) for n in (10, 100, 500, 1_000, 10_000) if n <= most_copies]
    table("prepare (quick), copies of a tag", "quick", copies)
    table("prepare (normal), copies of a tag", "normal", [row for row in copies if row[0] <= 1_000])
    print(f"\nall in {time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main()
