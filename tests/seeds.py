"""Property tests with seeds by lot: `python -m tests.seeds --minutes 60`, on a schedule; no part of the tests or of CI.

The tests draw the same examples in every run, so that nobody's change fails by chance. Here each round draws a seed
and runs every property test with it. The first that fails ends the run, with the command that repeats it.
"""

from __future__ import annotations

import argparse
import secrets
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parents[1]


def command_of(seed: int, where: Sequence[str], processes: int) -> list[str]:
    """What runs all property tests with one seed."""
    options = ["-m", "hypothesis", "-x", "-n", str(processes), "-p", "no:cacheprovider"]
    return ["-m", "pytest", *options, "--hypothesis-profile=random", f"--hypothesis-seed={seed}", *where]


def main() -> None:
    """Run round after round until the time is over or a test fails."""
    parser = argparse.ArgumentParser(prog="python -m tests.seeds")
    parser.add_argument("where", nargs="*", default=["tests"], help="folders or files of tests; all if none")
    parser.add_argument("--minutes", type=float, default=30.0, help="no round begins later")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--seed", type=int, action="append", help="these instead of ones by lot")
    given = parser.parse_args()
    began, rounds = time.monotonic(), 0
    while rounds < len(given.seed or []) or (
        not given.seed and time.monotonic() - began < given.minutes * 60
    ):
        seed = given.seed[rounds] if given.seed else secrets.randbelow(2**32)
        command = command_of(seed, given.where, given.processes)
        done = subprocess.run(
            [sys.executable, *command], cwd=ROOT, capture_output=True, text=True, check=False
        )
        if done.returncode:
            print(done.stdout, done.stderr, sep="\n")
            raise SystemExit(f"seed {seed} fails. Again: python {' '.join(command)}")
        rounds += 1
        print(f"seed {seed}: all passed", flush=True)
    print(f"{rounds} rounds, {(time.monotonic() - began) / 60:.0f} min")


if __name__ == "__main__":
    main()
