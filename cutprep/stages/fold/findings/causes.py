"""Which fault of the drawing is behind what folding found.

Faults of lines are the check's to find and to tell. A missing piece of a score makes a panel loose, a
body open and a seam wide; of these the maker needs none while the score is not mended.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from cutprep.model.findings.finding import Finding, Findings, Severity
from cutprep.model.folded import FoldReport, Verdict

#: Faults that join or part panels which should not be, and so bring others about.
_CAUSES = frozenset(
    {
        "open-outline",
        "self-crossing",
        "crossing-cuts",
        "cut-across-score",
        "score-short-of-outline",
        "score-ends-in-panel",
        "doubled-across-operations",
        "fold-conflict",
        "near-double",
        "unfinished-chain",
    }
)
#: Findings of folding that no line which is missing or too many brings about.
_OWN = frozenset(
    {
        "grain-across",
        "no-allowance",
        "layers-bulge",
        "fold-direction",
        "tuck-tight",
        "flap-narrow",
        "flap-overlap",
    }
)

#: Panels no further apart than this lie side by side, mm.
_PARTED = 1.0


def causes_of(faults: Findings, shapes: Sequence[shapely.MultiPolygon]) -> list[Findings]:
    """Give each fault that can bring others about to the part it lies at, and to what it may have parted from it.

    Parameters
    ----------
    faults
        What the check found in the drawing.
    shapes
        The panels of each part.
    """
    shares: list[list[Finding]] = [[] for _ in shapes]
    for fault in faults:
        spots = [place.xy for place in fault.places if place.xy is not None]
        if fault.code in _CAUSES and fault.severity is not Severity.NOTE and spots and shapes:
            spot = shapely.Point(spots[0])
            nearest = shapes[int(np.argmin([shape.distance(spot) for shape in shapes]))]
            for share, shape in zip(shares, shapes, strict=True):
                if nearest.distance(shape) < _PARTED:
                    share.append(fault)
    return [tuple(share) for share in shares]


def blamed(report: FoldReport, causes: Findings) -> FoldReport:
    """Put the fault of the drawing in the place of all that follows from it."""
    follows = [m for m in report.messages if m.severity is not Severity.NOTE and m.code not in _OWN]
    broken = any(f.severity is Severity.ERROR for f in causes)
    if not causes or not (follows or broken or not report.hinges):  # scores that lead nowhere part no panels
        return report
    worst = broken or any(m.severity is Severity.ERROR for m in follows)
    told = _told(causes, Severity.ERROR if worst else Severity.WARNING)
    left = (told, *(m for m in report.messages if m not in follows))
    parted = any(f.code == "open-outline" and f.severity is Severity.ERROR for f in causes)
    return replace(report, messages=left, verdict=Verdict.FAULTY if parted else report.verdict)


def told_once(reports: Sequence[FoldReport]) -> tuple[FoldReport, ...]:
    """Leave a fault that has parted a drawing into several to the first of them; the others are not checked."""
    known: set[Finding] = set()
    left = []
    for report in reports:
        again = known.intersection(report.messages) if report.verdict is Verdict.FAULTY else set()
        known.update(m for m in report.messages if m.code == "drawing-first")
        left.append(replace(report, messages=tuple(m for m in report.messages if m not in again)))
    return tuple(left)


def nothing_folds(name: str, faults: Findings) -> tuple[FoldReport, ...]:
    """Say why a drawing has no part to fold, if that is known."""
    causes = tuple(f for f in faults if f.code in _CAUSES and f.severity is not Severity.NOTE)
    told = _told(causes, Severity.ERROR) if causes else None
    return (FoldReport(name, Verdict.FAULTY, messages=(told,)),) if told else ()


def _told(causes: Findings, severity: Severity) -> Finding:
    first, more = causes[0], len(causes) - 1
    fault = first.problem[:1].lower() + first.problem[1:].rstrip(".")
    return Finding.of(
        "drawing-first",
        f"the part does not fold as it should, because of a fault in the drawing: {fault}"
        + (f" (and {more} more)" if more else ""),
        places=tuple(place for cause in causes for place in cause.places[:1]),
        severity=severity,
    )
