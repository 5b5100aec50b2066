"""Folds that run past the outline, stop short of it, end in a panel, or are cut off."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from cutprep.geometry.planar.folds import Ending, Endings, find_endings
from cutprep.model.findings.finding import Finding, Mend
from cutprep.model.findings.places import place_of
from cutprep.model.findings.telling import tell
from cutprep.model.operation import Operation
from cutprep.stages.check.survey import Survey, trimming


def find_bad_folds(survey: Survey) -> Iterator[Finding]:
    """Find fold lines that don't end or run as they should."""
    lines = survey.lines
    found = find_endings(
        lines,
        survey.folds & ~survey.spare,
        survey.cuts & ~survey.spare,
        survey.nearby,
        lambda: survey.outlines,
        survey.tolerance,
    )
    yield from tell(range(len(found)), partial(_tell, survey, found))


def _tell(survey: Survey, found: Endings, k: int) -> Finding:
    line, kind, distance = int(found.line[k]), Ending(int(found.kind[k])), float(found.distance[k])
    word = Operation(int(survey.lines.operation[line])).noun
    tolerance = survey.tolerance
    mendable = bool(found.mendable[k] and not survey.dashed[line])
    safe = mendable and distance <= tolerance.tail
    ask = mendable and not safe
    code, problem, fix = _words(kind, word, distance)
    return Finding.of(
        code=code,
        problem=problem,
        fix=f"{fix}, or let mending do so{trimming(distance, tolerance)}." if safe or ask else f"{fix}.",
        places=(place_of(survey.lines, line, found.xy[k]),),
        measure=distance if math.isfinite(distance) else None,
        limit=tolerance.doubled,
        mend=Mend.SAFE if safe else Mend.ASK if ask else Mend.NONE,
    )


def _words(kind: Ending, word: str, distance: float) -> tuple[str, str, str]:
    if kind is Ending.OVERSHOOT:
        return (
            "score-past-outline",
            f"A {word} runs {distance:.2f} mm past the outline: it would mark the card beside the part.",
            "Trim it to the outline",
        )
    if kind is Ending.HOLE:
        return (
            "score-over-hole",
            f"A {word} runs {distance:.2f} mm over a hole: the tool would catch on loose waste.",
            "End it at the edge of the hole",
        )
    if kind is Ending.UNDERSHOOT:
        return (
            "score-short-of-outline",
            f"A {word} stops {distance:.2f} mm short of the line it points at: the card would crease beside it.",
            "Extend it to that line",
        )
    if kind is Ending.OVER:
        return (
            "score-past-outline",
            f"A {word} runs {distance:.2f} mm past the line it should end on: it would crease the panel there.",
            "Trim it to that line",
        )
    if kind is Ending.PANEL:
        return (
            "score-ends-in-panel",
            f"A {word} ends in the middle of a panel: the card would not fold there, or would buckle.",
            "Carry it on to a cut or another fold, or delete it",
        )
    return (
        "cut-across-score",
        f"A cut crosses a {word}: the hinge would be severed there.",
        "End the cut at the fold, or split the fold where the cut is meant",
    )
