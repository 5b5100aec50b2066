"""Do all rooms see the same parts in nets drawn by hand? `python -m tests.bench.handmade [COUNT] [FIRST]`.

And does mending keep what findings promise? `python -m tests.bench.handmade promises`: check, mend, check again, twenty
drawings for each code that can be mended (tests/promises.py).

For each of COUNT drawings (tests/handmade.py; seeds from FIRST on) the outlines that check, prepare, mend
and fold see are compared with those that GEOS finds in the clean strokes, and the findings with what
was planted. Prints a row for every drawing in which something differs, and the sums.
"""

from __future__ import annotations

import sys

from cutprep.model.findings.finding import Severity
from cutprep.stages.check.inspect import check
from tests.handmade import LIMITS, differences, handmade, mistold
from tests.promises import CODES, mendable, spoilt, unkept


def main(count: int = 300, first: int = 0) -> None:
    """Print the table."""
    agree = planted = wrong = noisy = 0
    for seed in range(first, first + count):
        drawing, truth, faults = handmade(seed)
        apart = differences(drawing, truth, LIMITS.doubled)
        tales = mistold(check(drawing, LIMITS), faults)
        clean, _, _ = handmade(seed, spoil=False)
        said = [f.code for f in check(clean, LIMITS) if f.severity is not Severity.NOTE]
        agree += not apart
        planted += len(faults)
        wrong += len(tales)
        noisy += bool(said)
        if apart or tales or said:
            print(f"{seed}: {'; '.join(apart + tales + said)}")
    print(f"{agree} of {count} drawings: check, prepare, mend and fold agree with the truth on every outline")
    print(f"{planted} faults planted, {wrong} not told once at their place, or told without being there")
    print(f"{noisy} of {count} clean drawings say something")


def promises(count: int = 20) -> None:
    """Print how many promises are kept for each code."""
    for code in CODES:
        told = sum(bool(mendable(check(spoilt(code, seed), LIMITS), code)) for seed in range(count))
        kept = sum(not unkept(code, seed) for seed in range(count))
        print(f"{code}: told in {told} of {count} drawings, gone after mending in {kept}")


if __name__ == "__main__":
    promises() if sys.argv[1:] == ["promises"] else main(*map(int, sys.argv[1:]))
