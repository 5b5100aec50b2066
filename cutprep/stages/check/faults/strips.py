"""Strips of card too narrow to hold: between cuts, and between a fold and a cut."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np

from cutprep.geometry.closeness.overlap import Runs, find_strips
from cutprep.geometry.lines.segments import points_at
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.telling import tell
from cutprep.model.lines import Flags
from cutprep.model.operation import Operation
from cutprep.stages.check.faults.stretches import SharedRun, gather
from cutprep.stages.check.survey import Survey


def find_narrow(survey: Survey, told: Sequence[Runs]) -> Iterator[Finding]:
    """Find narrow strips, except where runs were told of already."""
    if not survey.strip > survey.tolerance.doubled:
        return
    lines = survey.lines
    runs = find_strips(
        lines,
        survey.strip,
        beyond=survey.tolerance.doubled,
        pick=survey.cuts | survey.folds,
        shortest=survey.tolerance.strip_run,
        nearby=survey.nearby,
    )
    cut = survey.cuts[runs.first].astype(int) + survey.cuts[runs.second]
    runs = runs.take((cut > 0) & ~_told(runs, told))
    cut = survey.cuts[runs.first] & survey.cuts[runs.second]
    between = runs.take(cut)
    card = between.take(_of_card(survey, between))
    yield from tell(gather(lines, card, survey.tolerance.doubled), partial(_strip, survey))
    yield from tell(gather(lines, runs.take(~cut), survey.tolerance.doubled), partial(_fold, survey))


def _told(runs: Runs, told: Sequence[Runs]) -> Flags:
    """Which runs lie along ones of the same two lines that were told of."""
    if not len(runs):
        return np.zeros(0, bool)
    known: dict[tuple[int, int], list[tuple[float, float]]] = defaultdict(list)
    for some in told:
        columns = (some.first.tolist(), some.second.tolist(), some.begin.tolist(), some.end.tolist())
        for one, two, begin, end in zip(*columns, strict=True):
            known[one, two].append((begin, end))
    result = np.zeros(len(runs), bool)
    pairs = zip(runs.first.tolist(), runs.second.tolist(), strict=True)
    for k, pair in enumerate(pairs):
        if pair in known:
            begin, end = float(runs.begin[k]), float(runs.end[k])
            # Runs that follow one another are one fault.
            slack = 1.0
            result[k] = any(low <= end + slack and high >= begin - slack for low, high in known[pair])
    return result


def _of_card(survey: Survey, runs: Runs) -> Flags:
    """Which strips are card: the sides of a slot enclose nothing that could tear."""
    card = np.ones(len(runs), bool)
    own = np.flatnonzero(survey.chain[runs.first] == survey.chain[runs.second])
    if len(own):
        some = runs.take(own)
        one = points_at(survey.lines, some.first, (some.begin + some.end) / 2)
        two = points_at(survey.lines, some.second, (some.begin_other + some.end_other) / 2)
        card[own] = survey.outlines.depth((one + two) / 2) % 2 == 1
    return card


def _strip(survey: Survey, stretch: SharedRun) -> Finding:
    return Finding.of(
        code="thin-strip",
        problem=f"A strip only {stretch.least:.2f} mm wide is left between cuts over {stretch.length:.2f} mm, where "
        f"{survey.strip:.2f} mm hold: it would tear, or catch on the blade.",
        fix="Move the cuts apart, or make one cut of them.",
        places=stretch.places(survey.lines),
        measure=stretch.least,
        limit=survey.strip,
    )


def _fold(survey: Survey, stretch: SharedRun) -> Finding:
    codes = survey.lines.operation[stretch.members]
    word = Operation(int(codes[codes != Operation.CUT][0])).noun
    return Finding.of(
        code="score-near-cut",
        problem=f"A {word} runs {stretch.least:.2f} mm beside a cut over {stretch.length:.2f} mm, where "
        f"{survey.strip:.2f} mm hold: the card would fold badly there and may tear along it.",
        fix="Move the fold away from the cut, or leave it out.",
        places=stretch.places(survey.lines),
        measure=stretch.least,
        limit=survey.strip,
    )
