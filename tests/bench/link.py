"""Sending to simulated machines with faults, a thousand seeded runs: `python -m tests.bench.link [count] [--first SEED]`.

Each run has a machine (polling, enquiring, XON/XOFF, hardware line, G-code line by line or in a window) behind a
pseudo-terminal or a local socket, one or two faults, and perhaps a moment at which she stops. What is judged stands in
`tests/machines/seeded.py`.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter

from tests.machines.seeded import case_of, faults_of, run


def main() -> None:
    """Run, and print how each kind of machine ended."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("count", type=int, nargs="?", default=1000)
    parser.add_argument("--first", type=int, default=0)
    asked = parser.parse_args()
    begun, ends, wrong = time.process_time(), Counter[tuple[str, str]](), 0
    for seed in range(asked.first, asked.first + asked.count):
        case = case_of(seed)
        result = run(case)
        ends[case.kind, result.last.kind.value] += 1
        faults = faults_of(result)
        wrong += bool(faults)
        for fault in faults:
            print(f"seed {seed}, {case.kind}: {fault}")
    for (kind, end), count in sorted(ends.items()):
        print(f"{kind:14s} {end:10s} {count:5d}")
    print(f"{asked.count} runs, {wrong} with a fault, {time.process_time() - begun:.0f} s of the processor")


if __name__ == "__main__":
    main()
