"""Lines that lie on each other, and lines that nearly do.

The measure of a doubled line is the length that would be run again: the sum of the lengths less
the length of the union. Lines that lie on each other in one stretch make one finding, however
many they are and into however many pieces they are split.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np

from cutprep.geometry.closeness.overlap import Runs, find_runs
from cutprep.model.findings.finding import Finding, Severity
from cutprep.model.findings.telling import tell
from cutprep.model.operation import Fold, Operation
from cutprep.stages.check.faults.stretches import SharedRun, gather
from cutprep.stages.check.survey import Survey


def find_doubled(survey: Survey) -> Iterator[Finding]:
    """Find lines that lie on each other."""
    lines, runs = survey.lines, survey.doubled
    across = lines.operation[runs.first] != lines.operation[runs.second]
    same = gather(lines, runs.take(~across), survey.tolerance.doubled)
    yield from tell(same, partial(_same, survey), _again)
    both = [stretch for stretch in same if _folds_both_ways(survey, stretch)]
    yield from tell(both, partial(_fold_conflict, survey), _again)
    mixed = gather(lines, runs.take(across), survey.tolerance.doubled)
    yield from tell(mixed, partial(_across, survey), _again)


def _again(stretch: SharedRun) -> float:
    return stretch.again


def _folds_both_ways(survey: Survey, stretch: SharedRun) -> bool:
    folds = survey.lines.fold[stretch.members]
    return bool((folds == Fold.MOUNTAIN).any() and (folds == Fold.VALLEY).any())


def _same(survey: Survey, stretch: SharedRun) -> Finding:
    operation = Operation(int(survey.lines.operation[stretch.members[0]]))
    tool, harm = ("pen", "blot") if operation is Operation.DRAW else ("tool", "tear the card")
    count = len(stretch.members)
    who = f"{count} {operation.word} lines lie" if count > 1 else f"A {operation.word} line lies"
    on = "each other" if count > 1 else "itself"
    return Finding.of(
        code="doubled-line",
        problem=f"{who} on {on}: the {tool} would run over {stretch.again:.2f} mm again and {harm}.",
        fix="Delete what is drawn twice; mending keeps one line of each stretch.",
        places=stretch.places(survey.lines),
        measure=stretch.again,
        limit=survey.tolerance.doubled_run,
    )


def _across(survey: Survey, stretch: SharedRun) -> Finding:
    codes = np.unique(survey.lines.operation[stretch.members])[::-1]
    operations = [Operation(int(code)) for code in codes]
    words = ", ".join(operation.word for operation in operations[:-1]) + f" and {operations[-1].word}"
    # A pen line harms nothing; whatever else lies there does.
    harmful = [operation for operation in operations if operation is not Operation.DRAW]
    return Finding.of(
        code="doubled-across-operations",
        problem=f"{len(stretch.members)} lines ({words}) lie on each other over {stretch.again:.2f} mm: "
        f"{_harm(harmful)}.",
        fix="Delete the line that is not meant, or let mending do so and say which is to stay: --keep cut, score or outline.",
        places=stretch.places(survey.lines),
        measure=stretch.again,
        limit=survey.tolerance.doubled_run,
        severity=Severity.WARNING if len(harmful) == 1 else Severity.ERROR,
    )


def _harm(operations: Sequence[Operation]) -> str:
    """What comes of operations on each other; of one alone, that a pen line lies on it."""
    if len(operations) == 1:
        return "the pen line would lie on an edge or a fold"
    if Operation.CUT not in operations:
        return "the card would be worked twice there and weaken"
    if Operation.SCORE in operations or Operation.PERFORATE in operations:
        return "the fold would be cut through"
    return "the card would be cut through where it should hold"


def _fold_conflict(survey: Survey, stretch: SharedRun) -> Finding:
    return Finding.of(
        code="fold-conflict",
        problem=f"A mountain and a valley fold lie on each other over {stretch.again:.2f} mm: "
        "nobody can tell which way the card is to fold.",
        fix="Delete the one that is not meant.",
        places=stretch.places(survey.lines),
        measure=stretch.again,
        limit=survey.tolerance.doubled_run,
    )


def near_runs(survey: Survey) -> Runs:
    """Find lines that run beside each other at a slip's distance; the two sides of a slot are none."""
    tolerance = survey.tolerance
    runs = find_runs(
        survey.lines,
        tolerance.near,
        beyond=tolerance.doubled,
        pick=survey.worked & (survey.lines.operation != Operation.DRAW),
        shortest=tolerance.near_run,
        shortest_passing=tolerance.near_run,
        nearby=survey.nearby,
    )
    own = survey.chain[runs.first] == survey.chain[runs.second]
    return runs.take(~own)


def find_near(survey: Survey, runs: Runs) -> Iterator[Finding]:
    """Tell of lines that nearly lie on each other."""
    tolerance = survey.tolerance
    yield from tell(gather(survey.lines, runs, tolerance.doubled), partial(_near, survey))


def _near(survey: Survey, stretch: SharedRun) -> Finding:
    return Finding.of(
        code="near-double",
        problem=f"{len(stretch.members)} lines run beside each other over {stretch.length:.2f} mm, only "
        f"{stretch.least:.2f} mm apart: if one is a slip of the hand, the tool would run there twice "
        "and leave a sliver.",
        fix="Delete one of them, or move them further apart if both are meant.",
        places=stretch.places(survey.lines),
        measure=stretch.least,
        limit=survey.tolerance.near,
    )
