"""Mend what can be mended without asking what was meant, and tell of every change."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from cutprep.geometry.closeness.cover import length_run_again, stacks
from cutprep.geometry.closeness.dashes import join_fold_dashes
from cutprep.geometry.closeness.overlap import Runs
from cutprep.geometry.lines.segments import points_at
from cutprep.geometry.planar.ends.joints import Joints
from cutprep.geometry.planar.folds import find_endings
from cutprep.geometry.planar.plane import Plane
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.lines import Flags, Lines
from cutprep.model.operation import WORKED, Operation
from cutprep.stages.mend.change import Change, told
from cutprep.stages.mend.close_gaps import close_gaps, join_lines
from cutprep.stages.mend.drop import drop_dangles, drop_points, drop_slivers
from cutprep.stages.mend.folds import fit_folds
from cutprep.stages.mend.leave import Leaving, told_once
from cutprep.stages.mend.mending import USUAL, Mending
from cutprep.stages.mend.merge import inner_cuts, merge_doubles
from cutprep.stages.mend.smooth import rejoin_arcs, straighten
from cutprep.stages.mend.tails import trim_tails
from cutprep.tolerance import Tolerance

#: A change may open the way for another (a doubled line removed, its partner can be joined), but each takes
#: something away; drawings settle in two or three rounds.
_ROUNDS = 12


def mend(drawing: Drawing, tolerance: Tolerance, mending: Mending = USUAL) -> tuple[Drawing, Findings]:
    """Mend a classified drawing.

    Removes what is drawn twice, closes gaps, joins lines that meet end to end, drops slivers and
    repeated points, trims cuts to the outline they run past, and fits fold lines to what they should meet. Guides and unplaced lines are
    left alone. Mending a mended drawing changes nothing.

    Parameters
    ----------
    drawing
        Classified.
    mending
        What may be done.

    Returns
    -------
    drawing
        With its mended lines.
    findings
        One for each change: `problem` says what was there before, `fix` what is there now.
    """
    lines, plane_of = drawing.lines, _surveyor(tolerance)
    found: list[Finding] = []
    leave = Leaving(mending.leave)
    for _ in range(_ROUNDS):
        before = lines
        for step in _steps(plane_of, tolerance, mending, leave):
            lines, changes = step(lines)
            found += changes
        if lines is before:
            break
    if mending.keep == "report":
        found += _left(plane_of(lines))
    found = [*told_once(found), *leave.unmet()] if mending.leave else found
    if lines is drawing.lines:
        return drawing, tuple(found)
    return drawing.with_lines(lines), tuple(found)


def _surveyor(tolerance: Tolerance) -> Callable[[Lines], Plane]:
    """Give the plane of lines, found out once for all steps that follow until one changes the lines."""
    last: Plane | None = None

    def plane_of(lines: Lines) -> Plane:
        nonlocal last
        if last is None or last.lines is not lines:
            last = Plane(lines, tolerance)
        return last

    return plane_of


def _steps(
    plane_of: Callable[[Lines], Plane],
    tolerance: Tolerance,
    mending: Mending,
    leave: Leaving,
) -> Iterator[Callable[[Lines], Change]]:
    """The steps of one round, in order; each gives the very same lines back when it has nothing to do."""
    gap = tolerance.gap if mending.gap is None else mending.gap
    trim = tolerance.tail if mending.trim is None else mending.trim
    yield lambda lines: drop_points(lines, _worked(lines), tolerance, leave)
    yield lambda lines: drop_slivers(lines, _worked(lines), tolerance, leave)
    # Gaps first: a line that stops short would not cover its double to the end.
    if gap:
        yield lambda lines: close_gaps(lines, _joints(plane_of, lines, gap), gap, leave)
    yield lambda lines: _merge(plane_of(lines), mending.keep, leave)
    if trim:
        yield lambda lines: trim_tails(plane_of(lines), trim, leave)
    if "stubs" in mending.ask:
        yield lambda lines: drop_dangles(plane_of(lines), leave)
    yield lambda lines: join_lines(lines, _worked(lines), tolerance, leave)
    if trim:
        yield lambda lines: _fit(plane_of(lines), trim, leave)
    if "arcs" in mending.ask:
        yield lambda lines: rejoin_arcs(lines, _worked(lines))
    if "straighten" in mending.ask:
        yield lambda lines: straighten(lines, _worked(lines), tolerance)


def _worked(lines: Lines) -> Flags:
    return np.isin(lines.operation, WORKED)


def _alike(lines: Lines, runs: Runs) -> Flags:
    return np.asarray(lines.operation[runs.first] == lines.operation[runs.second])


def _joints(plane_of: Callable[[Lines], Plane], lines: Lines, gap: float) -> Joints:
    plane = plane_of(lines)
    return plane.joints if gap == plane.gap else Plane(lines, plane.tolerance, gap=gap).joints


def _merge(plane: Plane, keep: str, leave: Leaving) -> Change:
    lines, runs, tolerance = plane.lines, plane.doubled, plane.tolerance
    alike = _alike(lines, runs)
    if keep == "report" or (keep == "outline" and alike.any()):
        return merge_doubles(lines, runs.take(alike), tolerance, leave=leave)
    strength = lines.operation.astype(np.int64)
    if keep == "outline":
        strength[inner_cuts(lines, runs, plane.outlines, tolerance)] = -1
    return merge_doubles(lines, runs, tolerance, -strength if keep == "score" else strength, leave)


def _fit(plane: Plane, trim: float, leave: Leaving) -> Change:
    """Bring the ends of fold lines to where they belong; a broken score drawn dash by dash ends where it ends."""
    folds = plane.folds & ~join_fold_dashes(plane.lines).dashes
    endings = find_endings(
        plane.lines, folds, plane.cuts, plane.nearby, lambda: plane.outlines, plane.tolerance
    )
    return fit_folds(plane.lines, endings, trim, leave)


def _left(plane: Plane) -> Iterator[Finding]:
    """Tell of lines of different operations on each other, which only the maker can decide."""
    lines, runs, tolerance = plane.lines, plane.doubled, plane.tolerance
    runs = runs.take(~_alike(lines, runs))
    group = stacks(lines, runs, tolerance.doubled)
    length = length_run_again(lines, runs, group)
    for number in np.unique(group).tolist():
        rows = np.flatnonzero(group == number)
        members = np.unique(np.concatenate((runs.first[rows], runs.second[rows])))
        codes = np.unique(lines.operation[members])[::-1].tolist()
        words = " and ".join(Operation(code).word for code in codes)
        middle = points_at(lines, runs.first[rows[:1]], (runs.begin[rows[:1]] + runs.end[rows[:1]]) / 2)[0]
        yield told(
            "left-as-drawn",
            f"{words.capitalize()} lie on each other over {length[number]:.2f} mm.",
            'Both were left; say which is to stay: the "cut", the "score", or the one the "outline" needs.',
            (place_of(lines, i, middle) for i in members[:MOST_PLACES].tolist()),
            float(length[number]),
            tolerance.doubled,
        )
