"""Trim fold lines that run past what they should meet, and carry on those that fall short."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.folds import Ending, Endings
from cutprep.geometry.segments import between
from cutprep.mend.change import Change, told
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import Operation
from cutprep.model.places import place_of

_MENDABLE = (Ending.PAST, Ending.HOLE, Ending.SHORT)


def fit_folds(lines: Lines, endings: Endings, trim: float) -> Change:
    """Bring the ends of fold lines to where they belong, if that is no further than a limit."""
    good = np.isin(endings.kind, _MENDABLE) & (endings.end >= 0) & np.isfinite(endings.target).all(axis=1)
    endings = endings.take(good & (endings.distance <= trim))
    if not len(endings):
        return lines, ()
    points = {i: (lines.points(i), lines.curves(i)) for i in np.unique(endings.line).tolist()}
    findings = []
    for k in range(len(endings)):
        i, end = int(endings.line[k]), int(endings.end[k])
        past = endings.kind[k] != Ending.SHORT
        distance = float(endings.distance[k])
        change = _trimmed if past else _extended
        made = change(*points[i], end, distance, endings.target[k])
        if made is None:
            continue
        points[i] = made
        word = Operation(int(lines.operation[i])).word
        findings.append(
            told(
                "trimmed-score" if past else "extended-score",
                f"A {word} {'ran' if past else 'stopped'} {distance:.2f} mm {'past' if past else 'short of'} a line.",
                f"It was {'trimmed' if past else 'carried on'} to that line.",
                (place_of(lines, i, endings.xy[k]),),
                distance,
                trim,
            )
        )
    changed = np.array(sorted(points), np.int64)
    new = Lines.of(
        [points[i][0] for i in changed.tolist()],
        operation=lines.operation[changed].tolist(),
        fold=lines.fold[changed].tolist(),
        source=lines.source[changed].tolist(),
        curved=[points[i][1] for i in changed.tolist()],
        elements=lines.elements,
    )
    kept = np.setdiff1d(np.arange(len(lines)), changed)
    order = np.argsort(np.concatenate((kept, changed)), kind="stable")
    return Lines.concat([lines.take(kept), new]).take(order), tuple(findings)


def _trimmed(
    points: Points, curved: Flags, end: int, distance: float, target: Points
) -> tuple[Points, Flags] | None:
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    if not 0 < distance < run[-1]:
        return None
    begin, stop = (distance, run[-1]) if end == 0 else (0.0, run[-1] - distance)
    inner = (run > begin) & (run < stop)
    left = between(points, begin, stop)
    left[0 if end == 0 else -1] = target
    return left, np.concatenate(([False], curved[inner], [False]))


def _extended(
    points: Points, curved: Flags, end: int, _distance: float, target: Points
) -> tuple[Points, Flags] | None:
    longer = points.copy()
    longer[0 if end == 0 else -1] = target
    return longer, curved
