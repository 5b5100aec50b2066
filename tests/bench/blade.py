"""Blade error: by offset and corner, on arcs, at random, on the samples; and how fast the planning is.

For each case the greatest distance between the integrated tip path and the wanted line, mm: as it
is planned, and with every point rounded to the 0.025 mm of HP-GL. The limit is 0.05 mm.
`without` is what the same corner misses when the pivot is sent along the line itself.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from cutprep.geometry.curves import flatten
from cutprep.job.api import make_job
from cutprep.job.pipeline import run
from cutprep.model.strokes import Strokes
from cutprep.stages.blade.plan import compensate
from cutprep.stages.blade.tip import blade_error
from cutprep.tolerance import Tolerance
from tests.moving import knife, machine_of, ring, strokes_of

TOLERANCE = Tolerance()
OFFSETS = (0.1, 0.25, 0.5, 0.9)
UNIT = 0.025
SAMPLES = Path(__file__).parents[2] / "samples"


def errors(strokes: Strokes, offset: float) -> tuple[float, float, int]:
    """Largest error as planned and in HP-GL, and the number of moves."""
    machine = machine_of(knife(offset, overcut=0.5))
    moves = compensate(strokes, machine, TOLERANCE)
    rounded = replace(moves, xy=np.round(moves.xy / UNIT) * UNIT)
    planned, written = (blade_error(m, strokes, machine, planned=moves).max() for m in (moves, rounded))
    return float(planned), float(written), len(moves)


def corner(turn: float) -> np.ndarray:
    a = math.radians(turn)
    return 100.0 + np.array([(-10, 0), (0, 0), (10 * math.cos(a), 10 * math.sin(a))])


def arc(radius: float, sweep: float = 2 * math.pi) -> tuple[np.ndarray, np.ndarray]:
    points = flatten.arc((100, 100), radius, 0.4, sweep, TOLERANCE.sagitta)
    curved = np.ones(len(points), bool)
    curved[[0, -1]] = False
    return points, curved


def miss(turn: float, offset: float) -> float:
    """Error of an uncompensated corner: the pivot on the line, its end moved ahead by the offset."""
    strokes = strokes_of(corner(turn))
    plain = compensate(strokes, machine_of(knife(0.0)), TOLERANCE)
    xy = plain.xy.copy()
    xy[0, 0] += offset
    xy[-2] += offset * np.array([math.cos(math.radians(turn)), math.sin(math.radians(turn))])
    machine = machine_of(knife(offset), first_turn="none")
    return float(blade_error(replace(plain, xy=xy), strokes, machine)[0])


def by_corner() -> None:
    print("\nblade error by offset and corner, mm: planned / in HP-GL (without)")
    print("turn  " + "".join(f"{f'e = {e}':>26s}" for e in OFFSETS))
    for turn in (5, 10, 15, 20, 30, 45, 60, 90, 120, 150, 180):
        cells = []
        for e in OFFSETS:
            planned, written, _ = errors(strokes_of(corner(turn)), e)
            cells.append(f"{planned:8.4f} / {written:.4f} ({miss(turn, e):.3f})")
        print(f"{turn:3d}   " + "".join(f"{c:>26s}" for c in cells))


def by_radius() -> None:
    print("\nblade error on circles, mm: planned / in HP-GL; of it up to 0.02 mm is the chords' own sagitta")
    print("radius" + "".join(f"{f'e = {e}':>20s}" for e in OFFSETS))
    for radius in (0.3, 0.5, 1, 2, 5, 10, 50):
        points, curved = arc(radius)
        points[-1] = points[0]
        row = [errors(strokes_of(points, curved=[curved]), e) for e in OFFSETS]
        print(f"{radius:5g} " + "".join(f"{f'{p:.4f} / {w:.4f}':>20s}" for p, w, _ in row))


def random_line(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """A polyline, an arc, or a cubic with a cusp, one time in three closed."""
    kind = rng.integers(3)
    if kind == 0:
        steps = rng.normal(size=(rng.integers(1, 12), 2)) * 10 ** rng.uniform(-1.3, 1.3)
        points = np.vstack(((0.0, 0.0), np.cumsum(steps, axis=0)))
        curved = np.zeros(len(points), bool)
    elif kind == 1:
        points, curved = arc(10 ** rng.uniform(-0.7, 1.7), rng.uniform(0.2, 6.2) * rng.choice([-1, 1]))
    else:
        size = 10 ** rng.uniform(-0.5, 1.5)
        control = np.array([[(0, 0), (1, 1), (rng.uniform(-0.5, 0.5), 1), (1, rng.uniform(-0.5, 0.5))]])
        points, _ = flatten.cubics(control * size, TOLERANCE.sagitta)
        curved = np.ones(len(points), bool)
        curved[[0, -1]] = False
    if rng.random() < 1 / 3 and len(points) > 2 and kind != 1:
        points, curved = ring(points), np.append(curved, False)
    points = points * min(1.0, 200 / np.ptp(points, axis=0).max())
    return points - points.min(axis=0) + 30, curved


def at_random(count: int) -> None:
    rng = np.random.default_rng(7)
    found = []
    for _ in range(count):
        points, curved = random_line(rng)
        found.append(errors(strokes_of(points, curved=[curved]), rng.uniform(0.1, 0.9))[:2])
    planned, written = np.array(found).T
    print(f"\n{count} random polylines, arcs and cusps, offsets 0.1 to 0.9 mm (seed 7)")
    for name, column in (("planned", planned), ("in HP-GL", written)):
        print(f"  {name:9s} median {np.median(column):.4f}  p99 {np.quantile(column, 0.99):.4f}"
              f"  worst {column.max():.4f} mm")  # fmt: skip


def sample_errors() -> Iterator[tuple[str, str, float, float]]:
    for path in sorted(SAMPLES.glob("*.svg")):
        for language in ("hpgl", "gcode"):
            for offset in (0.25, 0.9):
                outcome = run(
                    make_job(path, copies=2, language=language, blade_offset=offset, machine="mat-cutter-600")
                )
                yield path.name, language, offset, max(s.blade_error for s in outcome.sheets)


def on_samples() -> None:
    print("\nblade error of the samples' files as read back, mm")
    for name, language, offset, error in sample_errors():
        print(f"  {name:22s} {language:6s} e = {offset:4g}  {error:.4f}")


def speed() -> None:
    """5000 small squares and 100 000 vertices of curves."""
    square = ring([(0, 0), (2, 0), (2, 2), (0, 2)])
    many = strokes_of(*(square + np.array([5 + k % 90 * 3, 5 + k // 90 * 3]) for k in range(5000)))
    points, curved = arc(2)
    points[-1] = points[0]
    n = 100_000 // len(points)
    shift = [(-60 + k % 60 * 5, -60 + k // 60 * 2.5) for k in range(n)]
    curves = strokes_of(*(points + s for s in shift), curved=[curved] * n)
    print("\nspeed, s")
    for name, strokes in (("5000 squares", many), (f"{n} circles", curves)):
        machine = machine_of(knife(0.25), width=400.0, height=400.0)
        begin = time.perf_counter()
        moves = compensate(strokes, machine, TOLERANCE)
        planned = time.perf_counter()
        blade_error(moves, strokes, machine)
        judged = time.perf_counter()
        print(f"  {name:14s} {len(strokes.lines.xy):7d} vertices, {len(moves):7d} moves: "
              f"planned in {planned - begin:.2f}, judged in {judged - planned:.2f}")  # fmt: skip


def main() -> None:
    by_corner()
    by_radius()
    at_random(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
    on_samples()
    speed()


if __name__ == "__main__":
    main()
