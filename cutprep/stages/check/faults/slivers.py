"""Slivers: lines too short to be meant, and points drawn twice."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from cutprep.geometry.planar.slivers import find_slivers, repeated_points
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.findings.telling import tell
from cutprep.model.operation import Operation
from cutprep.stages.check.survey import Survey
from cutprep.units import plural


def tell_slivers(survey: Survey) -> Iterator[Finding]:
    """Tell of lines that are too short to be meant."""
    rows = np.flatnonzero(find_slivers(survey.lines, survey.worked, survey.tolerance))
    yield from tell(rows.tolist(), partial(_sliver, survey))


def _sliver(survey: Survey, i: int) -> Finding:
    length = float(survey.lengths[i])
    word = Operation(int(survey.lines.operation[i])).word
    return Finding.of(
        code="crumb",
        problem=f"A {word} line is only {length:.2f} mm long: the tool would pick the card there, nothing more.",
        fix="Delete it, or let mending do so.",
        places=(place_of(survey.lines, i),),
        measure=length,
        limit=survey.tolerance.sliver,
    )


def tell_repeats(survey: Survey) -> Iterator[Finding]:
    """Tell how many points follow one on the same spot."""
    lines = survey.lines
    rows = np.flatnonzero(repeated_points(lines, survey.tolerance))
    if not len(rows):
        return
    owner = np.searchsorted(lines.start, rows, side="right") - 1
    first = np.unique(owner, return_index=True)[1]
    shown = first[:MOST_PLACES]
    yield Finding.of(
        code="repeated-point",
        problem=f"{plural(len(rows), 'point')} on {plural(len(first), 'line')} "
        + (
            "lies on the point before it: it says nothing, and a machine may stop there."
            if len(rows) == 1
            else "lie on the point before them: they say nothing, and a machine may stop at each."
        ),
        fix="Nothing need be done; mending takes them out.",
        places=tuple(place_of(lines, int(owner[k]), lines.xy[rows[k]]) for k in shown.tolist()),
        measure=float(len(rows)),
        limit=0.0,
        unit="points",
    )
