"""Trim fold lines that run past what they should meet, and carry on those that fall short."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.lines.segments import between
from cutprep.geometry.planar.folds import Ending, Endings
from cutprep.model.findings.places import place_of
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Operation
from cutprep.stages.mend.change import Change, told
from cutprep.stages.mend.leave import NO_CHANGE, Leaving, as_left
from cutprep.stages.mend.pieces import Piece, replaced


def fit_folds(lines: Lines, endings: Endings, trim: float, leave: Leaving = NO_CHANGE) -> Change:
    """Bring the ends of fold lines to where they belong, if that is no further than a limit.

    Parameters
    ----------
    lines, endings
        Lines, mm, and how the ends of folds miss what they should meet.
    trim
        The limit, mm.
    leave
        Ends that stay where they are.
    """
    endings = endings.take(endings.mendable & (endings.distance <= trim))
    if not len(endings):
        return lines, ()
    pieces: dict[int, Piece] = {}
    findings = []
    trimmed = endings.kind != Ending.UNDERSHOOT
    left = leave.named(("trimmed-score",), endings.xy) & trimmed
    left |= leave.named(("extended-score",), endings.xy) & ~trimmed
    for k in range(len(endings)):
        i, end = int(endings.line[k]), int(endings.end[k])
        overshoots = endings.kind[k] != Ending.UNDERSHOOT
        distance = float(endings.distance[k])
        change = _trimmed if overshoots else _extended
        piece = pieces.get(i, (lines.points(i), lines.curves(i)))
        made = change(piece, end, distance, endings.target[k])
        if made is None:
            continue
        word = Operation(int(lines.operation[i])).noun
        finding = told(
            "trimmed-score" if overshoots else "extended-score",
            f"A {word} {'ran' if overshoots else 'stopped'} {distance:.2f} mm {'past' if overshoots else 'short of'} a line.",
            f"It was {'trimmed' if overshoots else 'carried on'} to that line.",
            (place_of(lines, i, endings.xy[k]),),
            distance,
            trim,
        )
        if left[k]:
            finding = as_left(finding)
        else:
            pieces[i] = made
        findings.append(finding)
    if not pieces:
        return lines, tuple(findings)
    return replaced(lines, {i: [piece] for i, piece in pieces.items()})[0], tuple(findings)


def _trimmed(piece: Piece, end: int, distance: float, target: Points) -> Piece | None:
    """Cut a length off one end; None when nothing would be left."""
    points, curved = piece
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    if not 0 < distance < run[-1]:
        return None
    begin, stop = (distance, run[-1]) if end == 0 else (0.0, run[-1] - distance)
    left = between(points, begin, stop)
    left[0 if end == 0 else -1] = target
    return left, np.concatenate(([False], curved[(run > begin) & (run < stop)], [False]))


def _extended(piece: Piece, end: int, _distance: float, target: Points) -> Piece | None:
    """Carry one end on to a point straight ahead."""
    points = piece[0].copy()
    points[0 if end == 0 else -1] = target
    return points, piece[1]
