"""How long the comparison of 100,000 strokes with their file takes, equal and spoilt: seconds and messages."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np

from cutprep.tolerance import Tolerance
from tests.beside import compare
from tests.plans import MACHINE, plan

COUNT = 100_000
Drawn = list[tuple[int, np.ndarray]]


def strokes(rng: np.random.Generator) -> Drawn:
    """Short strokes of four vertices in a shuffled grid."""
    found: Drawn = []
    for k in rng.permutation(COUNT).tolist():
        begin = np.array([10 + k % 400 * 0.7, 10 + k // 400 * 1.5])
        found.append((1, np.vstack((begin, begin + rng.uniform(0.3, 0.6, (3, 2)).cumsum(axis=0)))))
    return found


def swapped(drawn: Drawn) -> Drawn:
    """Every thousandth stroke and the one after it."""
    found = list(drawn)
    for k in range(0, len(found) - 1, 1000):
        found[k], found[k + 1] = found[k + 1], found[k]
    return found


def main() -> None:
    """Print a row for each way of spoiling a file."""
    rng = np.random.default_rng(0)
    drawn = strokes(rng)
    files = {
        "equal": drawn,
        "100 lost": [one for k, one in enumerate(drawn) if k % 1000],
        "100 swapped": swapped(drawn),
        "half lost in a row": [*drawn[: COUNT // 5], *drawn[COUNT // 5 + COUNT // 2 : -2], drawn[-1]],
        "turned round": drawn[::-1],
        "all others": [(tool, points + 0.35) for tool, points in drawn],
    }
    planned = plan(drawn)
    print(f"{'file':<20} {'messages':>8} {'seconds':>8}")
    for name, file in files.items():
        read = plan(file)
        read = replace(read, xy=read.xy + rng.uniform(-0.01, 0.01, read.xy.shape))
        began = time.process_time()
        found = compare(planned, read, within=0.025, machine=MACHINE, sagitta=Tolerance().sagitta)
        print(f"{name:<20} {len(found):>8} {time.process_time() - began:>8.2f}")


if __name__ == "__main__":
    main()
