"""Processor time of each stage of `prepare --effort quick` as a drawing grows: `python -m tests.bench.stage_growth [drawings]`.

Each size runs in a process of its own. The last column is the power p of size that a stage costs, time ~ size^p; a
stage that takes less than a hundredth of a second at the smaller size has none. Drawings: windows (hexagons in rows),
lace (a honeycomb with walls of a millimetre), pen (single pen lines), coast (outlines of fractal islands, one copy).

The larger drawing is a finer mesh on the same sheet, with narrow strips where the coarser one has none. With the word
`side-by-side` it is ten of the smaller ones beside each other: the same work ten times, so that p tells how a stage grows.
"""

from __future__ import annotations

import importlib
import json
import math
import random
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

from tests.bench.growth import hatched, honeycomb, page
from tests.bench.start import as_installed

_CHILD = """
import gc, json, resource, sys, time
from pathlib import Path
from cutprep.cli.app import SELDOM
from cutprep.job import api
from tests.bench.stage_growth import STAGES, room_of
spent = {}
def watch(room, name, stage):
    real = getattr(room, name)
    def timed(*given, **named):
        begin = time.process_time()
        try:
            return real(*given, **named)
        finally:
            spent[stage] = spent.get(stage, 0.0) + time.process_time() - begin
    setattr(room, name, timed)
for stage, names in STAGES.items():
    for name in names:
        watch(room_of(name), name, stage)
gc.set_threshold(*SELDOM)  # as the command line does
rules = api.make_rules({"pen": "draw"} if sys.argv[3] == "pen" else {})
begin = time.process_time()
job = api.make_job(
    Path(sys.argv[1]), effort=sys.argv[4], copies=int(sys.argv[5]), despite_findings=True, rules=rules
)
api.prepare_job(job, Path(sys.argv[2]))
whole = time.process_time() - begin
spent["other"] = whole - sum(spent.values())
spent["all"] = whole
print(json.dumps([spent, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""
#: Functions that the pipeline calls, by the stage they belong to.
STAGES = {
    "read": ("read_file",),
    "classify": ("classify",),
    "check": ("inspect_drawing", "tight_features"),
    "fold": ("fold_up",),
    "divide": ("divide",),
    "nest": ("lay_out",),
    "order": ("order",),
    "blade": ("compensate", "thinned"),
    "write, read back and compare": ("drafted", "proved"),
    "blade error": ("follow_tips", "unheld"),
    "time": ("duration",),
    "template told": ("_told",),
    "pages and job.json": ("output_files",),
    "folder": ("publish",),
}
_ROOMS = ("pipeline", "ready", "loading", "sheets.worked", "pieces.own", "api")
_EDGE = 280.0  # mm


def room_of(name: str) -> ModuleType:
    """The first room of `job` that calls a stage by this name."""
    rooms = [importlib.import_module(f"cutprep.job.{room}") for room in _ROOMS]
    return next(room for room in rooms if hasattr(room, name))


def lace(segments: int) -> str:
    """Hexagonal windows in a honeycomb; the walls between them are 1 mm, or a fifth of a finer honeycomb's pitch."""
    cells = max(1, segments // 6)
    pitch = _EDGE / math.sqrt(cells * 2 / math.sqrt(3))
    side, radius = math.ceil(_EDGE / pitch), (pitch - min(1.0, pitch / 5)) / math.sqrt(3)
    turns = [math.radians(60 * k + 30) for k in range(6)]
    rows = []
    for k in range(cells):
        x = 10 + (k % side + 0.5 + k // side % 2 / 2) * pitch
        y = 10 + (k // side + 0.5) * pitch * math.sqrt(3) / 2
        spots = " ".join(f"{x + radius * math.cos(a):.3f},{y + radius * math.sin(a):.3f}" for a in turns)
        rows.append(f'<path d="M{spots}z"/>')
    return page(f'<g id="cut"><path d="M5 5H295V295H5z"/>{"".join(rows)}</g>')


def coast(points: int) -> str:
    """Islands with coasts of a fractal, by halving chords (Mandelbrot, Science 156, 1967): 1,419 outlines at 60,629.

    One island holds a quarter of the points, and eight more an eighth of them together.
    """
    chance = random.Random(7)
    count = max(4, points * 1419 // 60_629)
    side = math.ceil(math.sqrt(count))
    pitch, rows = _EDGE / 2 / side, []
    places = [(10 + (k % side + 0.5) * pitch, 10 + (k // side + 0.5) * pitch) for k in range(count - 9)]
    islands = [(x, y, 0.3 * pitch * chance.uniform(0.5, 1.0), 0.625 * points / count) for x, y in places]
    islands += [(165 + 30 * (k % 4), 175 + 40 * (k // 4), 12.0, points / 64) for k in range(8)]
    for x, y, size, own in [*islands, (220, 80, 60.0, points / 4)]:
        depth = max(1, round(math.log2(own / 4)))
        ring = [(x + size, y), (x, y + size), (x - size, y), (x, y - size)]
        for _ in range(depth):
            finer = []
            for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1], strict=True):
                off = chance.uniform(-0.15, 0.15)
                finer += [(ax, ay), ((ax + bx) / 2 - off * (by - ay), (ay + by) / 2 + off * (bx - ax))]
            ring = finer
        rows.append(f'<path d="M{" ".join(f"{a:.4f},{b:.4f}" for a, b in ring)}z"/>')
    return page(f'<g id="cut">{"".join(rows)}</g>')


DRAWINGS: dict[str, tuple[Callable[[int], str], tuple[int, int]]] = {
    "windows": (lambda n: honeycomb(n // 6), (10_000, 100_000)),
    "lace": (lace, (10_000, 100_000)),
    "pen": (hatched, (10_000, 100_000)),
    "coast": (coast, (6_000, 60_000)),
}


def measure(
    name: str, drawing: str, *, effort: str = "quick", copies: int = 1
) -> tuple[dict[str, float], float]:
    """Seconds of processor time by stage, and peak MB, of a job in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "panel.svg"
        source.write_text(drawing)
        command = [sys.executable, "-c", _CHILD, str(source), str(Path(folder) / "out"), name]
        command += [effort, str(copies)]
        done = subprocess.run(command, capture_output=True, text=True, check=False, env=as_installed())
    if done.returncode:
        raise SystemExit(f"{name}: {done.stderr[-600:]}")
    spent, peak = json.loads(done.stdout.splitlines()[-1])
    return spent, float(peak)


def tiles(make: Callable[[int], str], few: int, times: int) -> str:
    """So many equal panels side by side on one page, each a drawing of `few` at a scale at which ten have room on a sheet."""
    body = re.sub(r"^<svg[^>]*>|</svg>$", "", make(few))
    spots = [(70 * (k % 4), 70 * (k // 4)) for k in range(times)]
    return page("".join(f'<g transform="translate({x} {y}) scale(0.23)">{body}</g>' for x, y in spots))


def main() -> None:
    """Print a table for each drawing."""
    wanted = sys.argv[1:]
    beside = "side-by-side" in wanted
    for name in [one for one in wanted if one in DRAWINGS] or DRAWINGS:
        make, (few, many) = DRAWINGS[name]
        drawn = [tiles(make, few, k) for k in (1, many // few)] if beside else [make(few), make(many)]
        (small, _), (large, peak) = (measure(name, one) for one in drawn)
        ratio = large["all"] / large["read"]
        said = f"{name}, {many // few} panels side by side" if beside else name
        print(f"\n{said}: {ratio:.1f} times the reading, {peak:.0f} MB\n\n| stage | {few:,} | {many:,} | p |")
        print("| --- | ---: | ---: | ---: |")
        for stage, seconds in large.items():
            before = small[stage]
            power = f"{math.log(seconds / before) / math.log(many / few):.2f}" if before > 1e-2 else ""
            print(f"| {stage} | {before:.2f} s | {seconds:.2f} s | {power} |", flush=True)


if __name__ == "__main__":
    main()
