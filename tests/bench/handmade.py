"""Do all rooms see the same parts in nets drawn by hand? `python -m tests.bench.handmade [COUNT] [FIRST]`.

For each of COUNT drawings (tests/handmade.py; seeds from FIRST on) the outlines that check, prepare, mend
and fold see are compared with those that GEOS finds in the clean strokes, and the findings with what
was planted. Prints a row for every drawing in which something differs, and the sums.
"""

from __future__ import annotations

import sys

from cutprep.model.finding import Severity
from cutprep.stages.check.inspect import check
from tests.handmade import LIMITS, differences, handmade, mistold


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


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
