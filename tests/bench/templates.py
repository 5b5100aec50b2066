"""Templates at random dimensions: `python -m tests.bench.templates [--each N] [--first SEED] [--kind K]`.

Half of the lengths of a set are in eighths of an inch; calipers are 0, 0.27, 0.42 and 1 mm by lot. A set is *right* when
its area, blank, volume, inside and play are those that its kind states by closed forms, `check` is silent, and it folds
as stated. What is wrong is counted by its first word: a code of a finding, or the figure that is off.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter

from cutprep.template.kinds import KINDS
from tests.unit.template.test_expected import faults, sizes


def _word(fault: str) -> str:
    """The code of a finding, or the first word of a figure that is off."""
    if fault.startswith("Finding("):
        return fault.split("code='")[1].split("'", maxsplit=1)[0]
    return fault.split(": ")[1] if fault.startswith("fold: ") else fault.split(" ", maxsplit=1)[0]


def main() -> None:
    """Print a row for each kind, the seeds that went wrong, and the sum."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--each", type=int, default=50)
    asked.add_argument("--first", type=int, default=1000, help="first seed; the tests use 0 and on")
    asked.add_argument("--kind", choices=sorted(KINDS))
    given = asked.parse_args()
    right = 0
    kinds = [given.kind] if given.kind else list(KINDS)
    print(f"{'kind':18s} {'right':>9s} {'s each':>7s}  wrong (seeds)")
    for name in kinds:
        kind, begin = KINDS[name], time.process_time()
        wrong: Counter[str] = Counter()
        seeds = []
        for seed in range(given.first, given.first + given.each):
            found = {_word(fault) for fault in faults(kind, sizes(kind, seed))}
            wrong.update(found)
            seeds += [seed] if found else []
        right += given.each - len(seeds)
        told = ", ".join(f"{word} {count}" for word, count in wrong.most_common())
        each = (time.process_time() - begin) / given.each
        print(
            f"{name:18s} {given.each - len(seeds):4d}/{given.each:<4d} {each:7.2f}  {told} {seeds or ''}",
            flush=True,
        )
    print(f"{'all':18s} {right:4d}/{given.each * len(kinds)}")


if __name__ == "__main__":
    main()
