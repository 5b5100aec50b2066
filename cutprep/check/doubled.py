"""Lines that lie on each other.

Measure: the length that would be run again, that is, the sum of the lengths less the length of
the union. Lines that lie on each other in one stretch make one finding, however many they are and
into however many pieces they are split.
"""

from __future__ import annotations

import numpy as np

from cutprep.errors import Place
from cutprep.geometry.cover import again, stacks
from cutprep.geometry.overlap import Runs, find_runs
from cutprep.geometry.segments import points_at
from cutprep.model.finding import Finding, Findings, Mend, Severity
from cutprep.model.lines import Flags, Index, Lines
from cutprep.model.operation import Fold, Operation
from cutprep.model.places import MOST_PLACES, place_of
from cutprep.tolerance import Tolerance


def find_doubled(lines: Lines, worked: Flags, tolerance: Tolerance) -> tuple[Findings, Runs]:
    """Find lines that lie on each other, and give the runs as well."""
    runs = find_runs(
        lines,
        tolerance.doubled,
        pick=worked,
        shortest=tolerance.doubled_run,
        shortest_passing=tolerance.near_run,
    )
    across = lines.operation[runs.first] != lines.operation[runs.second]
    found: list[Finding] = []
    for which in (~across, across):
        some = runs.take(which)
        group = stacks(lines, some, tolerance.doubled)
        length = again(lines, some, group)
        order = np.argsort(group, kind="stable")
        for rows in np.split(order, np.flatnonzero(np.diff(group[order])) + 1) if len(order) else []:
            found += _tell(lines, some, rows, float(length[group[rows[0]]]), tolerance)
    return tuple(found), runs


def _tell(lines: Lines, runs: Runs, rows: Index, length: float, tolerance: Tolerance) -> list[Finding]:
    """Make the findings for one stack of lines."""
    members, places = _members(lines, runs, rows)
    operations = [Operation(int(code)) for code in np.unique(lines.operation[members])[::-1]]
    across = len(operations) > 1
    count = "a line that runs back over itself" if len(members) == 1 else f"{len(members)} lines"
    if across:
        words = " and ".join(operation.word for operation in operations)
        problem = f"{count} of different operations ({words}) lie on each other over {length:.2f} mm"
        problem += _harm_across(operations)
        fix = "Delete the line that is not meant, or draw both where they belong."
    else:
        lie = "does so" if len(members) == 1 else "lie on each other"
        problem = (
            f"{count} ({operations[0].word}) {lie} over {length:.2f} mm: "
            f"the {'blade' if operations[0] is not Operation.DRAW else 'pen'} would run there again"
        )
        problem += " and tear the card" if operations[0] is not Operation.DRAW else " and blot"
        fix = "Delete the lines that are too many; mending keeps one of them."
    harmless = across and Operation.DRAW in operations
    finding = Finding(
        code="doubled-across-operations" if across else "doubled-line",
        severity=Severity.WARNING if harmless else Severity.ERROR,
        problem=problem[0].upper() + problem[1:] + ".",
        fix=fix,
        places=places,
        measure=length,
        limit=tolerance.doubled_run,
        mend=Mend.ASK if across else Mend.SAFE,
    )
    folds = set(lines.fold[members].tolist()) - {int(Fold.UNSAID)}
    return [finding, _fold_conflict(finding)] if len(folds) > 1 else [finding]


def _members(lines: Lines, runs: Runs, rows: Index) -> tuple[Index, tuple[Place, ...]]:
    """The lines of a stack, and for each a point in the middle of its longest run."""
    line = np.concatenate((runs.first[rows], runs.second[rows]))
    begin = np.concatenate((runs.begin[rows], runs.begin_other[rows]))
    end = np.concatenate((runs.end[rows], runs.end_other[rows]))
    order = np.lexsort((-np.abs(end - begin), line))
    members, head = np.unique(line[order], return_index=True)
    pick = order[head][:MOST_PLACES]
    spots = points_at(lines, line[pick], (begin[pick] + end[pick]) / 2)
    return members, tuple(place_of(lines, int(i), xy) for i, xy in zip(line[pick], spots, strict=True))


def _harm_across(operations: list[Operation]) -> str:
    if Operation.DRAW in operations:
        return ": the pen line would lie on an edge or a fold"
    if Operation.CUT in operations:
        return (
            ": the fold would be cut through"
            if Operation.SCORE in operations
            else ": the card would be cut through"
        )
    return ": the card would be worked twice and weaken"


def _fold_conflict(finding: Finding) -> Finding:
    return Finding(
        code="fold-conflict",
        severity=Severity.ERROR,
        problem=f"A mountain and a valley fold lie on each other over {finding.measure:.2f} mm: "
        "it can't be told which way the card folds.",
        fix="Keep the one that is meant.",
        places=finding.places,
        measure=finding.measure,
        limit=finding.limit,
    )
