"""Figures for the order of work: `python -m tests.bench.order [NAME...]`, with the names in `SHOWS`.

TSPLIB instances (G. Reinelt, University of Heidelberg; EUC_2D with the nint rule) are read from the
folder CUTPREP_BENCH_DATA (default ../shared/data), `tsp` in it; skipped where absent. The best
tour known is that of an outside solver (fast-tsp, `pip install cutprep[bench]`) in a run of
`CUTPREP_BENCH_SECONDS` (default 60; from 600 on for 10,000 lines too, which takes 1.6 GiB). The lower
bound is that of Held and Karp (Operations Research 18 (1970) 1138-1162), worked out here and sharing
nothing with cutprep.
"""

from __future__ import annotations

import importlib
import importlib.util
import os
import resource
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from cutprep.model.operation import Operation
from cutprep.model.part import Template
from cutprep.model.rules import Rules
from cutprep.model.sheet import Placement, Sheet
from cutprep.model.tally import OrderReport
from cutprep.stages.classify import classify
from cutprep.stages.divide import divide
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.order_sheets import plan, sheet_of
from tests.outside.test_order_exact import held_karp, tiny_sheet

ROOT = Path(__file__).parents[2]
DATA = Path(os.environ.get("CUTPREP_BENCH_DATA", ROOT.parent / "shared" / "data")) / "tsp"
SECONDS = float(os.environ.get("CUTPREP_BENCH_SECONDS", "60"))
#: Published optima of TSPLIB95 (Reinelt), and the limit that is asked for, percent.
OPTIMUM = {
    "pcb442": (50778, 1),
    "pr1002": (259045, 1),
    "d1291": (50801, 1),
    "pr2392": (378032, 1),
    "pcb3038": (137694, 1),
    "rl5915": (565530, 3),
    "rl11849": (923288, 3),
}


def timed(sheet: Sheet, **wish: object) -> tuple[np.ndarray, OrderReport, float, float]:
    """Order a sheet: vertices of its strokes, report, wall and processor seconds."""
    wall, own = time.perf_counter(), time.process_time()
    strokes, report = plan(sheet, **wish)  # type: ignore[arg-type]
    return strokes.lines.xy, report, time.perf_counter() - wall, time.process_time() - own


def memory() -> str:
    return f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB"


# ---------------------------------------------------------------------- points
def tsplib(name: str) -> np.ndarray:
    rows, reading = [], False
    for row in (DATA / f"{name}.tsp").read_text().splitlines():
        if row.startswith("EOF"):
            break
        if reading:
            rows.append([float(v) for v in row.split()[1:3]])
        reading = reading or row.startswith("NODE_COORD_SECTION")
    return np.array(rows)


def show_tsplib() -> None:
    print("\nTSPLIB points as lines of no length\ninstance  tour    over optimum  limit  wall s  cpu s")
    if not DATA.is_dir():
        print(f"skipped: {DATA} is not there")
        return
    for name, (optimum, limit) in OPTIMUM.items():
        if not (DATA / f"{name}.tsp").is_file():
            print(f"{name:8s} skipped: not there")
            continue
        points = tsplib(name)
        sheet = sheet_of([[p, p] for p in points[1:]], Operation.DRAW)
        xy, _, wall, own = timed(sheet, home=tuple(points[0]), tear_weight=0)
        tour = np.vstack((points[:1], xy[::2]))
        assert sorted(map(tuple, tour)) == sorted(map(tuple, points))
        length = int(np.floor(np.hypot(*(tour - np.roll(tour, -1, axis=0)).T) + 0.5).sum())
        assert length >= optimum
        print(f"{name:8s} {length:7d}  {length / optimum - 1:10.2%}  {limit:5d}%  {wall:6.1f}  {own:5.1f}")


# ---------------------------------------------------------------------- a drilled board
def board(seed: int = 0, holes: int = 1291) -> np.ndarray:
    """Holes as on a drilled board, (n, 2) mm: double rows of a tenth of an inch, clusters, and single ones between."""
    rng = np.random.default_rng(seed)
    found: list[np.ndarray] = []
    for x in np.arange(15.0, 285.0, 27.94):
        for y in np.arange(15.0, 180.0, 33.02):
            pins = int(rng.integers(4, 12))
            row = np.column_stack((np.zeros(pins), 2.54 * np.arange(pins)))
            found.append(np.vstack((row, row + np.array((7.62, 0.0)))) + np.array((x, y)))
            if rng.random() < 0.4:
                found.append(rng.integers(0, 6, (10, 2)) * 1.27 + np.array((x + 11.0, y + 4.0)))
    points = np.unique(np.round(np.vstack(found), 2), axis=0)
    single = np.round(rng.uniform((10, 10), (290, 190), (max(holes - len(points), 0), 2)) / 1.27) * 1.27
    return np.unique(np.round(np.vstack((points, single)), 2), axis=0)


def show_board() -> None:
    """Travel over invented boards beside a lower bound: the way from the optimum is less than what is printed."""
    print("\nBoards with holes in rows and clusters (mm of travel); the bound is below the optimum")
    print("seed  holes   planned     bound  over the bound  thorough  over thorough   cpu s")
    for seed in range(3):
        points = board(seed)
        sheet = sheet_of([[p, p] for p in points[1:]], Operation.DRAW)
        wish = {"home": tuple(points[0]), "tear_weight": 0}
        _, report, _, own = timed(sheet, **wish)
        steps = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
        np.fill_diagonal(steps, np.inf)
        bound = raised_trees(steps, float(np.median(steps.min(axis=1))), 400)
        got, best = report.planned.travel, timed(sheet, **wish, effort="thorough")[1].planned.travel
        print(
            f"{seed:4d}  {len(points):5d}  {got:8.1f}  {bound:8.1f}  {got / bound - 1:14.2%}"
            f"  {best:8.1f}  {got / best - 1:13.2%}  {own:6.1f}",
            flush=True,
        )


# ---------------------------------------------------------------------- tiny sheets
def show_tiny() -> None:
    print("\n200 tiny sheets against the proven best (three stages of 0 to 5 lines)")
    rng = np.random.default_rng(0)
    longer, shorter = 0, 0
    for _ in range(200):
        sheet, stages = tiny_sheet(rng, 5)
        best, got = held_karp(stages), plan(sheet, tear_weight=0)[1].planned.travel
        longer, shorter = longer + (got > best + 0.005), shorter + (got < best - 1e-6)
    print(f"equal {200 - longer - shorter}, longer {longer}, shorter {shorter}")


# ---------------------------------------------------------------------- lines
def random_lines(count: int, seed: int = 0) -> np.ndarray:
    """Lines of 2 to 20 mm (at 1,000) on a mat of 300 mm; shorter where there are more."""
    rng = np.random.default_rng(seed)
    begin, turn = rng.uniform(0, 300, (count, 2)), rng.uniform(0, 2 * np.pi, count)
    length = rng.uniform(2, 20, count) * (1000 / count) ** 0.5
    return np.stack((begin, begin + length[:, None] * np.column_stack((np.cos(turn), np.sin(turn)))), axis=1)


def ends(lines: np.ndarray) -> np.ndarray:
    """Home twice, then head and tail of each line."""
    return np.vstack((np.zeros((2, 2)), lines.reshape(-1, 2)))


def outside_tour(lines: np.ndarray) -> float | None:
    """The tour of an outside solver: each line a pair of points that share a free edge."""
    if importlib.util.find_spec("fast_tsp") is None:
        return None
    solver = importlib.import_module("fast_tsp")
    points = ends(lines)
    n, scale = len(points), 50.0
    steps = np.empty((n, n), np.uint16)
    for i in range(n):
        steps[i] = np.rint(np.hypot(*(points - points[i]).T) * scale) + 30_000
    pairs = np.arange(n).reshape(-1, 2)
    steps[pairs[:, 0], pairs[:, 1]] = steps[pairs[:, 1], pairs[:, 0]] = 0
    np.fill_diagonal(steps, 0)
    tour = np.array(solver.find_tour(steps, SECONDS))
    onward = np.roll(tour, -1)
    gaps = np.hypot(*(points[tour] - points[onward]).T)
    paired = tour // 2 == onward // 2
    assert paired.sum() == n // 2
    return float(gaps[~paired].sum())


def lower_bound(lines: np.ndarray, rounds: int = 300) -> float:
    """Held and Karp's bound: spanning trees with weights on the points, raised step by step.

    The free edge of each pair is made so cheap that every tree takes it.
    """
    points = ends(lines)
    n = len(points)
    steps = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    cheap = -10.0 * steps.max()
    pairs = np.arange(n).reshape(-1, 2)
    steps[pairs[:, 0], pairs[:, 1]] = steps[pairs[:, 1], pairs[:, 0]] = cheap
    np.fill_diagonal(steps, np.inf)
    size = float(np.median(steps.min(axis=1, where=steps > cheap, initial=np.inf)))
    return raised_trees(steps, size, rounds) - cheap * (n // 2)


def raised_trees(steps: np.ndarray, size: float, rounds: int) -> float:
    """The best bound of some rounds, whose weights change by less and less, `size` at first."""
    n = len(steps)
    weight, best = np.zeros(n), -np.inf
    for number in range(rounds):
        value, degree = one_tree(steps + weight[:, None] + weight[None])
        best = max(best, value - 2 * weight.sum())
        if (degree == 2).all():
            break
        weight += size * 0.985**number * (degree - 2)
    return float(best)


def one_tree(steps: np.ndarray) -> tuple[float, np.ndarray]:
    """The least spanning tree of all points but the first, with the two best edges of that."""
    n = len(steps)
    degree, near, whose = np.zeros(n), steps[1].copy(), np.ones(n, int)
    done = np.zeros(n, bool)
    done[:2], total = True, 0.0
    for _ in range(n - 2):
        i = int(np.where(done, np.inf, near).argmin())
        total += near[i]
        degree[i] += 1
        degree[whose[i]] += 1
        done[i] = True
        closer = steps[i] < near
        near[closer], whose[closer] = steps[i][closer], i
    two = np.argsort(steps[0])[:2]
    degree[0] += 2
    degree[two] += 1
    return total + float(steps[0, two].sum()), degree


def show_lines() -> None:
    print("\nRandom lines, one stage, both directions, from home and back (mm of travel)")
    print("lines  nearest   planned   outside   ratio  bound     wall s  cpu s  memory")
    for count in (200, 1000, 10_000, 50_000):
        lines = random_lines(count)
        _, report, wall, own = timed(sheet_of(list(lines), Operation.DRAW), tear_weight=0)
        used = memory()
        got = report.planned.travel
        best = outside_tour(lines) if count <= (10_000 if SECONDS >= 600 else 2000) else None
        bound = lower_bound(lines) if count <= 1000 else None
        print(
            f"{count:6d} {report.nearest.travel:8.0f}  {got:8.0f}  {best or float('nan'):8.0f}"
            f"  {got / best if best else float('nan'):6.4f}  {bound or float('nan'):8.0f}"
            f"  {wall:6.1f}  {own:5.1f}  {used}",
            flush=True,
        )


def show_several() -> None:
    print("\nFive sheets of 1,000 lines (mm of travel)\nsheet  planned   outside   ratio  wall s")
    ratios = []
    for seed in range(5):
        lines = random_lines(1000, seed)
        _, report, wall, _ = timed(sheet_of(list(lines), Operation.DRAW), tear_weight=0)
        best = outside_tour(lines) or float("nan")
        ratios.append(report.planned.travel / best)
        print(
            f"{seed:5d}  {report.planned.travel:7.0f}  {best:8.0f}  {ratios[-1]:6.4f}  {wall:6.1f}",
            flush=True,
        )
    print(f"mean ratio {np.mean(ratios):.4f}")


# ---------------------------------------------------------------------- tear
def sample(name: str) -> Template:
    tolerance = Tolerance()
    drawing = read(ROOT / "samples" / name, tolerance=tolerance, units=None)
    return divide(classify(drawing, Rules()), tolerance)


def grid(template: Template, copies: int, width: float, height: float, gap: float = 3.0) -> Sheet:
    w, h = template.size
    across = int((width + gap) // (w + gap))
    spots = [
        Placement(0, (i % across) * (w + gap), (i // across) * (h + gap), copy=i + 1) for i in range(copies)
    ]
    return Sheet(1, width, height, "card", (template,), tuple(spots))


def lace(columns: int, rows: int, web: float = 2.0, side: float = 4.0) -> Sheet:
    """A panel of hexagonal holes."""
    around = np.radians(30 + 60 * np.arange(7))
    hexagon = side * np.column_stack((np.cos(around), np.sin(around)))
    hexagon[-1] = hexagon[0]
    pitch = side * 3**0.5 + web
    middles = [
        np.array([10 + pitch * (i + 0.5 * (j % 2)), 10 + pitch * 0.75**0.5 * j])
        for j in range(rows)
        for i in range(columns)
    ]
    return sheet_of([hexagon + m for m in middles], Operation.CUT)


def vees(count: int, *, apart: bool = False) -> Sheet:
    """Pairs of cuts that meet in a tip, drawn either way round; apart: no two pairs cross."""
    rng = np.random.default_rng(5)
    lines = []
    for k in range(count):
        tip, turn, open_by = rng.uniform(20, 280, 2), rng.uniform(0, 6.3), np.radians(rng.uniform(10, 40))
        if apart:
            tip = 25.0 + 45.0 * np.array(divmod(k, 8))
        for angle in (turn, turn + open_by):
            line = np.array([tip, tip + rng.uniform(8, 20) * np.array([np.cos(angle), np.sin(angle)])])
            lines.append(line[:: rng.choice((-1, 1))])
    return sheet_of(lines, Operation.CUT)


def show_tear() -> None:
    print("\nTear exposure (mm): loose / running into a point / corner starts, and travel")
    sheets = {
        "24 jar cartons": grid(sample("jar-carton.svg"), 24, 600, 900),
        "4 display trays": grid(sample("display-tray.svg"), 4, 600, 900),
        "20 swing tags": grid(sample("swing-tag.svg"), 20, 305, 610),
        "12 dividers": grid(sample("divider.svg"), 12, 305, 610),
        "honeycomb lace": grid(sample("honeycomb-lace.svg"), 1, 305, 610),
        "lace of 2,000 holes": lace(50, 40),
        "60 pairs of cuts that converge, many across each other": vees(60),
        "60 pairs of cuts that converge, none across another": vees(60, apart=True),
    }
    for name, sheet in sheets.items():
        _, report, wall, own = timed(sheet)
        print(f"{name} ({report.planned.strokes} strokes, {wall:.1f} s, cpu {own:.1f} s, {memory()})")
        for which in ("drawn", "nearest", "travel_only", "planned"):
            tally = getattr(report, which)
            print(
                f"  {which:12s} {tally.loose:8.1f} / {tally.running:7.2f} / {tally.corners:5.1f}"
                f"  travel {tally.travel:9.1f}  strokes {tally.strokes:5d}  lifts {tally.lifts:5d}"
            )
        print(f"  more travel than travel only: {report.planned.travel / report.travel_only.travel - 1:+.2%}")


def show_weight() -> None:
    """What the weight between travel and tear buys, with no limit to the travel."""
    print("\nWeight of tear (mm of travel a mm): travel over travel only / running into a point")
    sheets = {
        "pairs across": vees(60), "pairs apart": vees(60, apart=True), "lines": sheet_of(list(random_lines(300)), Operation.CUT),
        "honeycomb lace": grid(sample("honeycomb-lace.svg"), 1, 305, 610),
    }  # fmt: skip
    print("weight  " + "  ".join(f"{name:>18s}" for name in sheets))
    for weight in (0.0, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0):
        cells = []
        for sheet in sheets.values():
            report = plan(sheet, tear_weight=weight, more_travel=np.inf)[1]
            more = report.planned.travel / report.travel_only.travel - 1
            cells.append(f"{more:+7.1%} / {report.planned.running:7.1f}")
        print(f"{weight:6g}  " + "  ".join(f"{cell:>18s}" for cell in cells), flush=True)


def show_dense() -> None:
    print("\nDense random cuts, with tear (seconds and memory)")
    for count in (1000, 10_000):
        _, report, wall, own = timed(sheet_of(list(random_lines(count)), Operation.CUT))
        print(
            f"{count:6d} travel {report.travel_only.travel:.0f} -> {report.planned.travel:.0f}, running"
            f" {report.nearest.running:.0f} -> {report.planned.running:.0f}, {wall:.1f} s, cpu {own:.1f} s, {memory()}",
            flush=True,
        )


SHOWS = {
    "tsplib": show_tsplib,
    "board": show_board,
    "tiny": show_tiny,
    "lines": show_lines,
    "several": show_several,
    "tear": show_tear,
    "dense": show_dense,
    "weight": show_weight,
}


def main(wanted: Sequence[str]) -> None:
    for name in wanted or SHOWS:
        SHOWS[name]()


if __name__ == "__main__":
    main(sys.argv[1:])
