"""Which scores are mountains and which valleys: as the layers say, else as the finished part needs it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from cutprep.model.folded import FoldReport
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import Fold, Operation
from cutprep.model.part import Template

#: A hinge lies on a score when the middle of one is this near to the other, mm: far below the distance of two scores.
_ON = 0.3


def told_folds(template: Template, reports: Sequence[FoldReport], corner: tuple[float, float]) -> Template:
    """Give scores whose layer names no direction the one in which folding the part on the screen turns them.

    Parameters
    ----------
    template
        As divided.
    reports
        What folding it gave, in the drawing's own coordinates.
    corner
        Where the drawing has the template's origin, mm.

    Returns
    -------
    Template
        A score along which some panels are folded up and others down stays without a direction, and so does one
        that folding says nothing of.
    """
    lines = template.lines
    unsaid = np.flatnonzero((lines.operation == Operation.SCORE) & (lines.fold == Fold.UNSAID))
    hinges = [h for report in reports for h in report.hinges if np.isfinite(h.angle) and h.angle]
    if not (len(unsaid) and hinges):
        return template
    ends = np.asarray(shapely.linestrings(np.array([hinge.ends for hinge in hinges]) - corner))
    sign = np.array([Fold.VALLEY if hinge.angle > 0 else Fold.MOUNTAIN for hinge in hinges])
    fold = lines.fold.copy()
    for i in unsaid.tolist():
        signs = np.unique(sign[_along(lines.points(i), ends)])
        if len(signs) == 1:
            fold[i] = signs[0]
    return replace(template, lines=lines.with_operations(lines.operation, fold))


def _along(points: Points, ends: np.ndarray[tuple[int], np.dtype[np.object_]]) -> Flags:
    """Which hinges lie on a line, or have it lie on them."""
    line = shapely.LineString(points)
    on_line = shapely.distance(shapely.line_interpolate_point(ends, 0.5, normalized=True), line)
    on_hinge = shapely.distance(shapely.line_interpolate_point(line, 0.5, normalized=True), ends)
    return np.asarray(np.minimum(on_line, on_hinge) <= _ON)


def from_back(lines: Lines, fold: Fold) -> Flags:
    """Which lines are scored from the back, when scores of one fold are, (m,); none for `Fold.UNSAID`."""
    return np.asarray((lines.operation == Operation.SCORE) & (lines.fold == fold) & (fold != Fold.UNSAID))
