"""Time of check and mend on laces, as ratios to a plain index of the same segments.

Run as `python -m tests.bench.check [LARGEST]`. For each drawing, of about 1,000, 10,000 and 100,000
segments, the reference is measured in the same process: building a shapely STRtree on the segments and querying it
once with all of them (by their boxes). Best of three. Growth is the time a segment at one size over
that at the size before. At the end come a million copies of one line.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
import shapely

from cutprep.geometry.lines.segments import explode
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from cutprep.stages.mend.mend import mend
from cutprep.tolerance import Tolerance

PLANTED = 0.01


def grid_lace(count: int) -> list[np.ndarray]:
    """A grid of which every side is a line of its own."""
    n, a = int(np.sqrt(count / 2)), 5.0
    sides = [np.array([(i * a, j * a), (i * a, j * a + a)]) for i in range(n + 1) for j in range(n)]
    return sides + [side[:, ::-1] for side in sides]


def hole_lace(count: int) -> list[np.ndarray]:
    """A panel with hexagonal holes, 2.5 mm of card between them, and a frame."""
    n, a = int(np.sqrt(count / 6)), 6.0
    turn = np.radians(np.arange(7) % 6 * 60 + 30)
    hexagon = 2.0 * np.column_stack((np.cos(turn), np.sin(turn)))
    frame = np.array([(-5, -5), (n * a, -5), (n * a, n * a), (-5, n * a), (-5, -5)], float)
    return [frame, *(hexagon + np.array((i * a, j * a)) for i in range(n) for j in range(n))]


def ring_lace(count: int) -> list[np.ndarray]:
    """Circles of 6 mm in chords, 2 mm apart."""
    n = int(np.sqrt(count / 48))
    turn = np.radians(np.arange(49) % 48 * 7.5)
    ring = 3.0 * np.column_stack((np.cos(turn), np.sin(turn)))
    return [ring + np.array((8.0 * i, 8.0 * j)) for i in range(n) for j in range(n)]


LACES = (grid_lace, hole_lace, ring_lace)


def spoilt(lines: list[np.ndarray]) -> tuple[Lines, float]:
    """One line in a hundred drawn again, backwards and a hair off; and the length of these, mm."""
    rng = np.random.default_rng(1)
    twice = rng.choice(len(lines), max(int(len(lines) * PLANTED), 1), replace=False)
    again = [lines[k][::-1] + rng.uniform(-0.02, 0.02, 2) for k in twice.tolist()]
    length = sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in again)
    return Lines.of([*lines, *again], operation=Operation.CUT), length


def best(run: Callable[[], object], times: int = 3) -> float:
    """Shortest of several times, s."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        run()
        taken.append(time.process_time() - start)
    return min(taken)


def index(lines: Lines) -> float:
    """Time of the reference, s."""
    segments = explode(lines)
    shapes = np.asarray(shapely.linestrings(np.stack((segments.begin, segments.end), axis=1)))
    return best(lambda: shapely.STRtree(shapes).query(shapes))


def main(largest: int = 100_000) -> None:
    """Print the tables."""
    head = f"{'lace':10}{'segments':>10}{'index s':>10}{'check s':>10}{'ratio':>7}{'growth':>8}{'mend s':>9}{'doubled mm':>12}{'found mm':>10}"
    print(head)
    for lace in LACES:
        before = 0.0
        for count in (n for n in (1_000, 10_000, 100_000) if n <= largest):
            lines, planted = spoilt(lace(count))
            drawing = Drawing(lace.__name__, lines)
            reference, tolerance = index(lines), Tolerance()
            taken = best(lambda d=drawing, t=tolerance: check(d, t))
            mending = best(lambda d=drawing, t=tolerance: mend(d, t), 1)
            found = sum(f.measure or 0.0 for f in check(drawing, tolerance) if f.code == "doubled-line")
            each = taken / len(lines.xy)
            growth = f"{each / before:8.2f}" if before else f"{'':8}"
            before = each
            print(
                f"{lace.__name__:10}{len(explode(lines)):10}{reference:10.4f}{taken:10.4f}{taken / reference:7.1f}"
                f"{growth}{mending:9.3f}{planted:12.1f}{found:10.1f}"
            )
    copies = 10 * largest
    xy = np.tile([(0.0, 0.0), (50.0, 10.0)], (copies, 1))
    ones = np.ones(copies)
    stack = Lines(
        xy,
        np.arange(0, 2 * copies + 1, 2),
        ones * Operation.CUT,
        ones * 0,
        ones * 0,
        np.zeros(2 * copies, bool),
    )
    taken = best(lambda: check(Drawing("stack", stack), Tolerance()), 1)
    mending = best(lambda: mend(Drawing("stack", stack), Tolerance()), 1)
    print(f"{copies} copies of one line: check {taken:.1f} s, mend {mending:.1f} s")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
