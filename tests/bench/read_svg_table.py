"""Reading SVG by feature: drawings tried, agreeing, and with which reference.

    python -m tests.bench.read_svg_table [-v]

`-v` names what was found for each drawing that does not agree.
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.outside.svg_ink import verdicts


def main() -> None:
    """Print the table."""
    tried: Counter[str] = Counter()
    agreeing: Counter[str] = Counter()
    restated: Counter[str] = Counter()
    off = []
    for feature, path, agrees, said in verdicts():
        tried[feature] += 1
        agreeing[feature] += agrees
        restated[feature] += said.startswith("resvg, restated")
        if not agrees:
            off.append(f"{feature}/{path.name}: {said}")
    print(f"{'feature':12s} {'tried':>6s} {'agreeing':>9s}  reference")
    for feature, count in sorted(tried.items()):
        against = f"resvg 0.48.1 ({restated[feature]} restated)" if restated[feature] else "resvg 0.48.1"
        print(f"{feature:12s} {count:6d} {agreeing[feature]:9d}  {against}")
    print(f"{'all':12s} {tried.total():6d} {agreeing.total():9d}")
    if "-v" in sys.argv[1:]:
        print("\n".join(off))


if __name__ == "__main__":
    main()
