"""One table of ratios and peaks, measured side by side in one run: `python -m tests.bench table`.

Each row is measured in a process of its own, so that its peak memory is its own (`ru_maxrss`) and nothing is
warm from the row before. A ratio is between two programs, or two sizes, in the same process or in turns;
seconds of this machine stand beside it. It takes a few minutes; name rows to run some of them only.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "samples" / "jar-carton.svg"


class Row(NamedTuple):
    """What was measured, with what it is compared, their quotient, and the most memory held."""

    what: str
    ours: str
    beside: str
    ratio: float | None = None


def read_svg() -> list[Row]:
    import io

    import svgelements

    from cutprep.stages.read.reader import read
    from cutprep.tolerance import Tolerance
    from tests.bench.read_svg import drawing, least

    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for segments in (10_000, 100_000):
            text, path = drawing(segments, 50), Path(folder) / "drawing.svg"
            path.write_text(text)
            ours = least(lambda path=path: read(path, tolerance=Tolerance()))
            theirs = least(lambda text=text: svgelements.SVG.parse(io.StringIO(text), reify=True), 1)
            rows.append(
                Row(
                    f"read SVG, {segments:,} segments",
                    f"{ours:.2f} s",
                    f"SVG.parse {theirs:.2f} s",
                    ours / theirs,
                )
            )
    return rows


def read_dxf() -> list[Row]:
    import ezdxf

    from cutprep.stages.read.reader import read
    from cutprep.tolerance import Tolerance
    from tests.bench.read_dxf import write_drawing
    from tests.bench.read_svg import least

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "drawing.dxf"
        write_drawing(path, 20_000)
        ours, theirs = (
            least(lambda: read(path, tolerance=Tolerance())),
            least(lambda: ezdxf.readfile(path), 2),
        )
    what = "read DXF, 20,000 entities"
    return [Row(what, f"{ours:.2f} s", f"ezdxf.readfile {theirs:.2f} s", ours / theirs)]


def check() -> list[Row]:
    from cutprep.model.drawing import Drawing
    from cutprep.stages.check.inspect import check as inspect
    from cutprep.tolerance import Tolerance
    from tests.bench.check import LACES, best, index, spoilt

    rows = []
    for lace in LACES:
        lines, _ = spoilt(lace(100_000))
        drawing = Drawing(lace.__name__, lines)
        reference = index(lines)
        taken = best(lambda drawing=drawing: inspect(drawing, Tolerance()), 2)
        what = f"check, 100,000 segments, {lace.__name__.replace('_', ' ')}"
        rows.append(
            Row(what, f"{taken:.2f} s", f"index built and asked {reference:.3f} s", taken / reference)
        )
    return rows


def nest() -> list[Row]:
    """Utilisation over all sheets against the grid's, and against what the area allows."""
    from cutprep.stages.nest.item.demand import Demand
    from cutprep.stages.nest.layout.pattern_runs import grid_layout
    from cutprep.stages.nest.nesting import Nesting
    from cutprep.stages.nest.pack.bound import fewest_sheets
    from cutprep.stages.nest.plan import nest as lay
    from tests.bench.nest import MAT, plain_solver, sample

    rows = []
    for name in ("jar-carton", "display-tray", "swing-tag", "divider"):
        for copies in (10, 100, 500):
            demand = Demand(sample(name), copies)
            solver = plain_solver([demand], MAT, 5.0, 3.0)
            share = 100 * solver.problem.shapes[0].area * copies / (MAT.width * MAT.height)
            begin = time.process_time()
            ours = sum(sheet.runs for sheet in lay([demand], [MAT], Nesting(effort="quick")))
            each = 1000 * (time.process_time() - begin) / copies
            grid, bound = grid_layout(solver).sheets, fewest_sheets(solver, [copies])
            rows.append(
                Row(
                    f"nest, {copies} of {name}, quick",
                    f"{ours} sheets, {share / ours:.0f} %, {each:.1f} ms a copy",
                    f"grid {grid}, {share / grid:.0f} %; area {bound}, {share / bound:.0f} %",
                    ours / grid,
                )
            )
    return rows


def order() -> list[Row]:
    from cutprep.model.operation import Operation
    from tests.bench import order as bench
    from tests.order_sheets import sheet_of

    bench.SECONDS = float(os.environ.get("CUTPREP_BENCH_SECONDS", "10"))
    rows = []
    for count in (200, 1000):
        lines = bench.random_lines(count)
        _, report, _, own = bench.timed(sheet_of(list(lines), Operation.DRAW), tear_weight=0)
        got, theirs = report.planned.travel, bench.outside_tour(lines)
        what = f"order, travel of {count:,} random lines"
        said = (
            "outside solver not installed"
            if theirs is None
            else f"outside solver {theirs:.0f} mm, {bench.SECONDS:.0f} s"
        )
        rows.append(Row(what, f"{got:.0f} mm, {own:.1f} s", said, got / theirs if theirs else None))
        rows.append(
            Row(
                what,
                f"{got:.0f} mm",
                f"nearest line next {report.nearest.travel:.0f} mm",
                got / report.nearest.travel,
            )
        )
    return rows


def stages() -> list[Row]:
    """Time of each stage of the main job at normal effort, pages and folder included."""
    from tests.bench.stage_growth import measure as measure_stages

    spent, _ = measure_stages("main job", SAMPLE.read_text(encoding="utf-8"), effort="normal", copies=12)
    total = spent.pop("all")
    return [
        Row(f"main job, {stage}", f"{seconds:.2f} s", f"whole job {total:.2f} s", seconds / total)
        for stage, seconds in spent.items()
    ]


def start() -> list[Row]:
    from tests.bench.start import spent

    python = sys.executable
    shown, imports = spent(python, "-m", "cutprep", "--help"), spent(python, "-c", "import typer, rich")
    libraries = spent(python, "-c", "import shapely, numpy, ezdxf, svgelements, networkx")
    rows = [Row("start, --help", f"{shown:.3f} s", f"import typer, rich {imports:.3f} s", shown / imports)]
    for language, machine in (("hpgl", "mat-cutter-300"), ("gcode", "belt-servo-400")):
        for effort in ("normal", "quick"):
            with tempfile.TemporaryDirectory() as folder:
                words = f"prepare {SAMPLE} --copies 12 --machine {machine} --stock card-220 --effort {effort}"
                words += f" --language {language} --out {folder}/out --replace"
                took = spent(python, "-m", "cutprep", *words.split(), runs=3)
            what = f"main job, {language}, {effort}"
            rows.append(Row(what, f"{took:.2f} s", f"import libraries {libraries:.2f} s", took / libraries))
    return rows


def growth() -> list[Row]:
    """From 10 to 10,000; the ratio is the cost of one more against that at a tenth of the size."""
    from tests.bench.growth import hatched, honeycomb, measure, tag

    series: list[tuple[str, str, Callable[[int], tuple[str, int]]]] = [
        ("prepare, copies of a tag", "quick", lambda n: (tag(), n)),
        ("check, segments in hexagons", "check", lambda n: (honeycomb(max(1, n // 6)), 1)),
        ("prepare, segments in hexagons", "quick", lambda n: (honeycomb(max(1, n // 6)), 1)),
        ("prepare, single pen lines", "quick", lambda n: (hatched(n), 1)),
    ]
    rows = []
    for name, what, make in series:
        before: float | None = None
        for size in (10, 100, 1_000, 10_000):
            drawing, copies = make(size)
            seconds, peak, _ = measure(what, drawing, copies)
            said = "" if before is None else f"a tenth of them {before:.2f} s"
            ratio = None if before is None else seconds / (10 * before)
            rows.append(Row(f"{name}: {size:,}", f"{seconds:.2f} s, {peak:.0f} MB", said, ratio))
            before = seconds
    return rows


def large() -> list[Row]:
    """Large drawings beside their reading, processor time; and 500 copies."""
    from tests.bench.growth import measure, tag
    from tests.bench.stage_growth import DRAWINGS
    from tests.bench.stage_growth import measure as measure_stages

    rows = []
    for name, (make, (_, many)) in DRAWINGS.items():
        spent, peak = measure_stages(name, make(many))
        what, ours = f"prepare, quick, {name}, {many:,}", f"{spent['all']:.1f} s, {peak:.0f} MB"
        rows.append(Row(what, ours, f"reading {spent['read']:.2f} s", spent["all"] / spent["read"]))
    one, _, _ = measure("normal", tag(), 10)
    for effort in ("quick", "normal"):
        seconds, peak, sheets = measure(effort, tag(), 500)
        rows.append(
            Row(
                f"prepare, {effort}, 500 copies",
                f"{seconds:.1f} s, {peak:.0f} MB, {sheets} sheets",
                f"10 copies, normal, {one:.1f} s",
                seconds / one,
            )
        )
    return rows


ROWS: dict[str, Callable[[], list[Row]]] = {
    "start": start, "stages": stages, "read_svg": read_svg, "read_dxf": read_dxf, "check": check,
    "nest": nest, "order": order, "large": large, "growth": growth,
}  # fmt: skip


def measured(name: str) -> tuple[list[Row], float, float]:
    """Rows of one kind, MB and s: from a process of its own."""
    begin = time.perf_counter()
    command = [sys.executable, "-m", "tests.bench.table", "--alone", name]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False)
    if done.returncode:
        raise SystemExit(f"{name}: {done.stderr[-800:]}")
    rows, peak = json.loads(done.stdout.splitlines()[-1])
    return [Row(*row) for row in rows], peak, time.perf_counter() - begin


def main(words: Sequence[str]) -> None:
    """Print the table, or one kind of rows as JSON for the process that asked."""
    if words[:1] == ["--alone"]:
        rows = ROWS[words[1]]()
        # What a row's own children held is told in the row.
        print(json.dumps([rows, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
        return
    begin = time.perf_counter()
    print("| what | ours | beside it | ratio | peak MB |\n| --- | --- | --- | ---: | ---: |")
    for name in words or ROWS:
        rows, peak, _ = measured(name)
        inside = name in {"start", "growth", "large"}
        for row in rows:
            ratio = "" if row.ratio is None else f"{row.ratio:.2f}"
            print(
                f"| {row.what} | {row.ours} | {row.beside} | {ratio} | {'' if inside else f'{peak:.0f}'} |",
                flush=True,
            )
    print(f"\nAll in {time.perf_counter() - begin:.0f} s.")


if __name__ == "__main__":
    main(sys.argv[1:])
