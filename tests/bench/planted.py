"""Planted against found: recall and precision of the checks by kind.

Run as `python -m tests.bench.planted [DRAWINGS] [SEED]`. A planted fault is found when a finding of
its code has a place within 0.7 mm of it and a measure within 0.5 percent or 0.05 mm (a hole of chords is
narrower than the circle by up to two sagittas, 0.04 mm). A finding of an error
or a warning that answers to no planted fault is invented.
"""

from __future__ import annotations

import sys
from collections import Counter

import shapely

from cutprep.model.findings.finding import Finding, Severity
from cutprep.stages.check.inspect import check
from cutprep.tolerance import Tolerance
from tests.planted import Fault, drawing

#: How far a measure may be off: a share, or mm.
SHARE, MM = 0.005, 0.05
AWAY = 0.7
OFFSET = 0.25


def answers(finding: Finding, fault: Fault) -> bool:
    """Whether a finding tells of a planted fault."""
    if finding.code != fault.code:
        return False
    line = shapely.LineString(fault.where)
    if min(line.distance(shapely.Point(p.xy)) for p in finding.places if p.xy is not None) > AWAY:
        return False
    if fault.measure is None:
        return True
    return abs((finding.measure or 0.0) - fault.measure) <= max(SHARE * fault.measure, MM)


def compare(
    findings: tuple[Finding, ...], faults: list[Fault]
) -> tuple[Counter, Counter, Counter, list[str]]:
    """Count planted, found and invented by code, and tell what went wrong."""
    planted, found, invented, tales = Counter(), Counter(), Counter(), []
    open_findings = [f for f in findings if f.severity is not Severity.NOTE]
    for fault in faults:
        hits = [f for f in open_findings if answers(f, fault)]
        planted[fault.code] += 1
        if hits:
            found[fault.code] += 1
            open_findings = [f for f in open_findings if f is not hits[0]]
        else:
            tales.append(f"missed {fault.code} {fault.measure} at {fault.where[0].round(2)}")
    for finding in open_findings:
        invented[finding.code] += 1
        tales.append(
            f"invented {finding.code} {finding.measure} at {finding.places[0].xy}: {finding.problem}"
        )
    return planted, found, invented, tales


def main(count: int = 1000, seed: int = 0) -> int:
    """Print the table; 1 when recall or precision stay below 0.995."""
    planted, found, invented = Counter(), Counter(), Counter()
    for k in range(count):
        sheet, faults = drawing(seed + k)
        p, f, i, tales = compare(check(sheet, Tolerance(), blade_offset=OFFSET), faults)
        planted += p
        found += f
        invented += i
        for tale in tales:
            print(f"  drawing {seed + k}: {tale}")
    print(f"{count} drawings, seeds {seed} to {seed + count - 1}")
    print(f"{'kind':28}{'planted':>9}{'found':>9}{'invented':>9}{'recall':>9}{'precision':>11}")
    worst = 1.0
    for code in sorted(set(planted) | set(invented)):
        recall = found[code] / planted[code] if planted[code] else 1.0
        told = found[code] + invented[code]
        precision = found[code] / told if told else 1.0
        worst = min(worst, recall, precision)
        print(f"{code:28}{planted[code]:9}{found[code]:9}{invented[code]:9}{recall:9.4f}{precision:11.4f}")
    recall, precision = found.total() / planted.total(), found.total() / (found.total() + invented.total())
    print(f"{'all':28}{planted.total():9}{found.total():9}{invented.total():9}{recall:9.4f}{precision:11.4f}")
    return int(min(recall, precision) < 0.995)


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
