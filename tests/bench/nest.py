"""Nesting: sheets and utilisation by grid, nest and area bound; random jobs; known layouts; strips.

    python -m tests.bench.nest [random] [known] [cartons] [copies] [shared] [many] [strips]

Without a word all but `strips` are run. `random` lays out 300 random jobs and proves each;
`strips` packs the ESICUP strip instances (60 s each, two threads), from the folder named by
CUTPREP_BENCH_DATA (default ../shared/data beside the project), and compares with the best
published: J. Gardeyn, G. Vanden Berghe, T. Wauters, arXiv 2509.13329 (2025), table 3.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely

from cutprep.geometry.closeness.overlap import find_runs
from cutprep.geometry.placed import placed_lines
from cutprep.job.api import make_rules, read
from cutprep.model.part import Template
from cutprep.model.sheet import Sheet
from cutprep.profile.stock import SheetSize
from cutprep.stages.classify import classify
from cutprep.stages.divide import divide
from cutprep.stages.nest.fill import fill
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.layout.pattern_runs import grid_layout
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.bound import fewest_sheets
from cutprep.stages.nest.pack.irregular import run_child
from cutprep.stages.nest.pack.solver import Solver, solver_of
from cutprep.stages.nest.plan import nest
from cutprep.stages.nest.proof import verify_layout
from cutprep.tolerance import Tolerance
from tests.outside.test_nest_squares import AREAS
from tests.unit.stages.nest.specimens import box, carton, disc, ell, sheets_in, template

ROOT = Path(__file__).resolve().parents[2]
DATA = Path(os.environ.get("CUTPREP_BENCH_DATA", ROOT.parent / "shared" / "data"))
MAT = SheetSize("12in", 304.8, 304.8)
SIZES = (MAT, SheetSize("A4", 210, 297), SheetSize("A3", 297, 420))
#: Density in percent of the best published layouts.
BEST = {
    "shirts": 90.92, "swim": 79.83, "trousers": 92.62, "albano": 89.82, "dagli": 90.17, "fu": 92.40,
    "jakobs1": 89.25, "shapes0": 69.98, "shapes1": 76.72,
}  # fmt: skip


def plain_solver(demands: list[Demand], size: SheetSize, margin: float, gap: float) -> Solver:
    return solver_of(problem_of(demands, [size], Nesting(margin=margin, gap=gap, effort="quick")))


def sample(name: str) -> Template:
    drawing = classify(read(ROOT / "samples" / f"{name}.svg"), make_rules())
    return divide(drawing, Tolerance())


def brute_force_right(sheets: tuple[Sheet, ...], margin: float, gap: float) -> bool:
    """Parts widened by half the gap, pair by pair, without an index and without the nest's own proof."""
    seen = set()
    for sheet in sheets:
        key = tuple((p.template, p.x, p.y, p.turn, p.mirror) for p in sheet.placements)
        if key in seen:
            continue
        seen.add(key)
        placed = placed_lines(sheet)
        rows = np.flatnonzero(placed.outline & (placed.placement >= 0))
        solids = [shapely.Polygon(placed.lines.points(int(i))) for i in rows]
        usable = shapely.box(margin, margin, sheet.width - margin, sheet.height - margin).buffer(1e-6)
        wide = [solid.buffer(gap / 2) for solid in solids]
        if not all(usable.covers(solid) for solid in solids):
            return False
        if any(wide[i].intersection(wide[j]).area > 1e-6 for i in range(len(wide)) for j in range(i)):
            return False
    return True


def random_template(rng: np.random.Generator, name: str) -> Template:
    kind = rng.integers(6)
    if kind == 0:
        return box(float(rng.uniform(15, 120)), float(rng.uniform(15, 120)), name)
    if kind == 1:
        return ell(float(rng.uniform(30, 90)), float(rng.uniform(8, 25)))
    if kind == 2:
        return carton(float(rng.uniform(12, 24)), float(rng.uniform(20, 50)))
    if kind == 3:
        return disc(float(rng.uniform(8, 40)), 36)
    corners = int(rng.integers(3, 12))
    angle = (np.arange(corners) + rng.uniform(0.1, 0.9, corners)) * 2 * np.pi / corners
    radius = rng.uniform(8, 60, corners) if kind == 4 else rng.uniform(30, 40, corners)
    return template(name, np.column_stack((np.cos(angle), np.sin(angle))) * radius[:, None])


def random_jobs(count: int = 300) -> None:
    """Never more sheets than the step-and-repeat; every layout proved twice."""
    rng = np.random.default_rng(2026)
    fewer = equal = more = wrong = ours = theirs = 0
    started = time.perf_counter()
    for number in range(count):
        kinds = int(rng.integers(1, 4))
        turns = ("half", "quarter", "free")[int(rng.integers(3))]
        demands = [
            Demand(random_template(rng, f"t{k}"), int(rng.integers(1, 60)), turns)  # type: ignore[arg-type]
            for k in range(kinds)
        ]
        size = SIZES[int(rng.integers(3))]
        margin, gap = float(rng.choice([0, 3, 5])), float(rng.choice([0, 0.5, 3, 5]))
        sheets = nest(
            demands, [size], Nesting(margin=margin, gap=gap, seed=number, effort="quick", share_cuts=False)
        )
        grid = grid_layout(plain_solver(demands, size, margin, gap)).sheets
        right = not verify_layout(sheets, demands=demands) and brute_force_right(sheets, margin, gap)
        wrong += not right
        ours, theirs = ours + sheets_in(sheets), theirs + grid
        fewer, equal, more = (
            fewer + (sheets_in(sheets) < grid),
            equal + (sheets_in(sheets) == grid),
            more + (sheets_in(sheets) > grid),
        )
    seconds = time.perf_counter() - started
    print(
        f"\n{count} random jobs, quick: {fewer} with fewer sheets than the grid, {equal} with as many, {more} more"
    )
    print(
        f"  sheets {ours} against {theirs}; layouts that fail a proof: {wrong}; {seconds / count:.2f} s a job"
    )


def known() -> None:
    """Layouts with known answers."""
    print("\nknown layouts")
    for (w, h), (width, height), best in (((5, 3), (8, 8), 4), ((7, 4), (43, 26), 39)):
        size = SheetSize("s", width, height)
        grid = max(
            len(run.pattern) for run in grid_layout(plain_solver([Demand(box(w, h), 99)], size, 0, 0)).runs
        )
        ours = len(fill([Demand(box(w, h), 1)], size, Nesting(margin=0, gap=0, effort="quick")).placements)
        print(f"  {w} x {h} in {width} x {height}: grid {grid}, nest {ours}, area bound {best}")
    sides = {2: (2, 3), 3: (3, 5), 4: (5, 7), 5: (5, 12), 6: (9, 11), 7: (11, 14), 8: (14, 15), 9: (15, 20)}
    found = []
    for n, (width, height) in sides.items():
        assert width * height == AREAS[n - 1]
        demands = [Demand(box(k, k), 1) for k in range(1, n + 1)]
        if sheets_in(nest(demands, [SheetSize("s", width, height)], Nesting(margin=0, gap=0))) == 1:
            found.append(n)
    print(f"  squares 1..n in the smallest rectangle (OEIS A081287), n = 2..9: found for {found}")


def cartons() -> None:
    """24 hexagonal nets of 139 by 106 mm on 305 mm sheets, gap 3."""
    print("\n24 carton nets of 139 x 106 mm on 305 mm sheets, gap 3 mm")
    size = SheetSize("305", 305, 305)
    for margin in (0.0, 5.0):
        for turns, effort in (
            ("quarter", "quick"), ("quarter", "normal"), ("free", "normal"), ("free", "thorough"),
        ):  # fmt: skip
            started = time.perf_counter()
            demand = Demand(carton(), 24, turns)  # type: ignore[arg-type]
            sheets = nest([demand], [size], Nesting(margin=margin, effort=effort))
            seconds = time.perf_counter() - started
            most = max(len(s.placements) for s in sheets)
            print(
                f"  margin {margin:g}, {turns:7s} {effort:8s}: {sheets_in(sheets)} sheets, up to {most} a sheet, "
                f"{seconds:5.1f} s, {'right' if brute_force_right(sheets, margin, 3.0) else 'WRONG'}"
            )


def copies() -> None:
    """Sheets, utilisation and time per copy for the samples."""
    print("\nsamples on 12 x 12 in, margin 5, gap 3: sheets (utilisation over all sheets)")
    print("  template       copies  grid        quick       normal      bound   ms a copy, quick and normal")
    for name in ("jar-carton", "display-tray", "swing-tag", "divider"):
        part = sample(name)
        for count in (10, 100, 500, 10_000):
            demand = Demand(part, count)
            solver = plain_solver([demand], MAT, 5.0, 3.0)
            area = solver.problem.shapes[0].area * count / (MAT.width * MAT.height)
            cells, times = [f"{_cell(grid_layout(solver).sheets, area)}"], []
            for effort in ("quick", "normal"):
                started = time.perf_counter()
                sheets = nest([demand], [MAT], Nesting(effort=effort))
                times.append(1000 * (time.perf_counter() - started) / count)
                cells.append(_cell(sheets_in(sheets), area))
            bound = fewest_sheets(solver, [count])
            print(
                f"  {name:14s} {count:6d}  {'  '.join(f'{c:10s}' for c in cells)}  {bound:5d}   "
                f"{times[0]:8.2f} {times[1]:8.2f}"
            )


def _cell(sheets: int, area: float) -> str:
    return f"{sheets} ({100 * area / sheets:.0f} %)"


def shared() -> None:
    """Gap 0: length saved on grids, and no doubled line afterwards."""
    print("\nshared cuts at gap 0")
    for name, part, count in (
        ("divider 60 x 40", box(60, 40), 28),
        ("display tray", sample("display-tray"), 2),
        ("corner 60, arm 20", ell(60, 20), 25),
    ):
        plain = nest([Demand(part, count)], [MAT], Nesting(gap=0, effort="quick", share_cuts=False))
        once = nest([Demand(part, count)], [MAT], Nesting(gap=0, effort="quick"))
        before, after = (
            sum(float(placed_lines(s).lines.lengths.sum()) * s.runs for s in sheets)
            for sheets in (plain, once)
        )
        doubled = sum(
            len(find_runs(placed_lines(s).lines, 0.1, shortest=0.5, shortest_passing=3.0)) for s in once
        )
        print(
            f"  {name:18s} {count} copies: {before:.0f} mm before, {after:.0f} mm after "
            f"({100 * (1 - after / before):.0f} % less), doubled lines {doubled}"
        )


def strips(seconds: int = 60) -> None:
    """The library alone on published strips, by the child process that the nest uses."""
    folder = DATA / "nest"
    if not folder.is_dir():
        print(f"\nstrips: skipped, no folder {folder}")
        return
    print(f"\nstrip instances, {seconds} s, two threads: density in percent")
    ratios = []
    for name, best in BEST.items():
        data = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
        density = strip_density(data, seconds)
        ratios.append(density / best)
        print(
            f"  {name:10s} {density:6.2f}  best published {best:6.2f}  ratio {density / best:.4f}", flush=True
        )
    print(f"  mean ratio {np.mean(ratios):.4f}")


def strip_density(data: dict, seconds: int) -> float:  # type: ignore[type-arg]
    items, area = [], 0.0
    for item in data["items"]:
        shape = np.array(item["shape"]["data"], dtype=float)
        shape -= shape.min(axis=0)
        area += item["demand"] * shapely.Polygon(shape).area
        items.append(
            {"shape": shape[:-1].tolist(), "count": item["demand"], "turns": item["allowed_orientations"]}
        )
    height = data["strip_height"]
    job = {
        "height": height, "width": 0.0, "gap": 0.0, "seed": 1, "tries": 0, "reports": 0, "far": 1.0,
        "seconds": seconds, "workers": 2, "items": items,
    }  # fmt: skip
    answer = run_child(job)
    solids = [
        shapely.affinity.translate(
            shapely.affinity.rotate(shapely.Polygon(items[k]["shape"]), turn, origin=(0, 0)), x, y
        )
        for k, turn, x, y in answer["placed"]
    ]
    assert len(solids) == sum(item["count"] for item in items)
    tree = shapely.STRtree(solids)
    i, j = tree.query(solids, predicate="intersects")
    pairs = i < j
    array = np.array(solids)
    common = shapely.area(shapely.intersection(array[i[pairs]], array[j[pairs]]))
    assert common.max(initial=0.0) < 1e-3 * height, "copies overlap"
    length = max(s.bounds[2] for s in solids) - min(s.bounds[0] for s in solids)
    return 100 * area / (height * length)


def many() -> None:
    """One each of many different templates, and one outline of very many points; processor time."""
    rng = np.random.default_rng(1)
    angle = (np.arange(20) + 0.5) * np.pi / 10
    spokes = np.column_stack((np.cos(angle), np.sin(angle)))
    stars = [template(f"star {k}", spokes * rng.uniform(12, 45, 20)[:, None]) for k in range(100)]
    cases = [("100 stars of 20 corners", stars, MAT)]
    files = sorted((DATA / "nets").glob("*.svg"))
    if files:
        drawn = [divide(classify(read(path), make_rules()), Tolerance()) for path in files]
        cases.append((f"{len(drawn)} published nets", drawn, SheetSize("500 x 700", 500, 700)))
    points = np.array([0, 200, 100 - 173.2j, 0])
    for _ in range(7):
        step = np.diff(points)
        parts = (
            points[:-1],
            points[:-1] + step / 3,
            points[:-1] + step * (0.5 + 0.28j),
            points[:-1] + step * 2 / 3,
        )
        points = np.append(np.stack(parts, axis=1).ravel(), points[-1])
    coast = template("coast", np.column_stack((points.real, points.imag))[:-1])
    cases.append((f"one coastline of {len(points)} points", [coast], MAT))
    print("\none each, quick: sheets, processor time")
    for name, templates, size in cases:
        begin = time.process_time()
        sheets = nest([Demand(one, 1) for one in templates], [size], Nesting(effort="quick"))
        print(f"  {name}: {sheets_in(sheets)} sheets, {time.process_time() - begin:.1f} s", flush=True)


def main() -> None:
    """Run what is named."""
    parts: dict[str, Callable[[], None]] = {
        "random": random_jobs, "known": known, "cartons": cartons, "copies": copies, "shared": shared,
        "many": many,
        "strips": strips,
    }  # fmt: skip
    for name in sys.argv[1:] or [name for name in parts if name != "strips"]:
        parts[name]()


if __name__ == "__main__":
    main()
