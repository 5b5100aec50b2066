"""The making sheet: how to score, cut, fold and glue each template, with a machine or without.

Scores that run along the blank's edges are given as distances from the left and the lower edge, as
one sets them on a scoring board; others by their two ends. A blank is the smallest upright
rectangle around a template.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutprep.model.folded import FoldReport
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Fold, Operation
from cutprep.units import say_length

#: Scores within this many degrees of an edge are set on the board like parallel ones; no published source.
_PARALLEL = 0.2
#: Widest slot that strips are pushed into each other by, mm; common practice, no published source.
_SLOT = 4.0
#: Cosine beyond which two sides of a slot run back along each other.
_ANTIPARALLEL = 0.99


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """One setting of the scoring board, or one slanting score.

    Attributes
    ----------
    edge
        "left" or "lower": the edge to measure from; empty for a slanting score.
    at
        Distance from that edge, mm; nan for a slanting score.
    spans
        From where to where each score at this setting runs along the other direction, mm.
    ends
        Both ends of a slanting score, (x, y) from the lower left corner, mm.
    fold
        Which way it folds.
    perforated
        It is a broken cut, not a score.
    """

    edge: str
    at: float
    spans: tuple[tuple[float, float], ...]
    ends: tuple[tuple[float, float], tuple[float, float]] | None
    fold: Fold
    perforated: bool


def score_rows(lines: Lines, within: float) -> tuple[ScoreRow, ...]:
    """List the settings of a scoring board for a template.

    Parameters
    ----------
    lines
        The template, its lower left corner at the origin.
    within
        Scores within this distance share a setting, mm.

    Returns
    -------
    tuple of ScoreRow
        First those from the left edge, then those from the lower edge, then slanting ones.
    """
    upright: list[tuple[float, float, float, Fold, bool]] = []
    level: list[tuple[float, float, float, Fold, bool]] = []
    slanting: list[ScoreRow] = []
    for line in lines:
        if line.operation not in (Operation.SCORE, Operation.PERFORATE):
            continue
        broken = line.operation is Operation.PERFORATE
        for p, q in _runs(line.points):
            dx, dy = np.abs(q - p)
            if max(dx, dy) <= within:
                continue
            lean = np.degrees(np.arctan2(min(dx, dy), max(dx, dy)))
            if lean > _PARALLEL:
                ends = ((float(p[0]), float(p[1])), (float(q[0]), float(q[1])))
                slanting.append(ScoreRow("", float("nan"), (), ends, line.fold, broken))
            elif dy > dx:
                upright.append((float(p[0] + q[0]) / 2, *_rising(p[1], q[1]), line.fold, broken))
            else:
                level.append((float(p[1] + q[1]) / 2, *_rising(p[0], q[0]), line.fold, broken))
    return (*_grouped("left", upright, within), *_grouped("lower", level, within), *slanting)


def _runs(points: Points) -> list[tuple[Points, Points]]:
    """Straight runs of a line: neighbouring steps of one direction are one run."""
    runs: list[tuple[Points, Points]] = []
    for p, q in pairwise(points):
        if runs:
            a, b = runs[-1]
            u, v = b - a, q - p
            if (
                abs(u[0] * v[1] - u[1] * v[0]) <= np.radians(_PARALLEL) * np.hypot(*u) * np.hypot(*v)
                and u @ v > 0
            ):
                runs[-1] = (a, q)
                continue
        runs.append((p, q))
    return runs


def _rising(a: float, b: float) -> tuple[float, float]:
    return (float(min(a, b)), float(max(a, b)))


def _grouped(
    edge: str, rows: Sequence[tuple[float, float, float, Fold, bool]], within: float
) -> list[ScoreRow]:
    """Gather scores at one distance and of one kind into one setting."""
    found: list[ScoreRow] = []
    for at, begin, end, fold, broken in sorted(rows, key=lambda r: (r[0], r[1])):
        last = found[-1] if found else None
        same = last is not None and at - last.at <= within and (last.fold, last.perforated) == (fold, broken)
        if last is not None and same:
            found[-1] = ScoreRow(edge, last.at, _joined(last.spans, (begin, end), within), None, fold, broken)
        else:
            found.append(ScoreRow(edge, at, ((begin, end),), None, fold, broken))
    return found


def _joined(
    spans: tuple[tuple[float, float], ...], new: tuple[float, float], within: float
) -> tuple[tuple[float, float], ...]:
    """Add a span, joined to the last one when they touch."""
    begin, end = spans[-1]
    if new[0] <= end + within:
        return (*spans[:-1], (begin, max(end, new[1])))
    return (*spans, new)


def board_numbers(rows: Sequence[ScoreRow]) -> list[str]:
    """Short names of the settings: L1, L2 ... from the left, B1 ... from below, S1 ... slanting."""
    counts = {"left": 0, "lower": 0, "": 0}
    letters = {"left": "L", "lower": "B", "": "S"}
    names = []
    for row in rows:
        counts[row.edge] += 1
        names.append(f"{letters[row.edge]}{counts[row.edge]}")
    return names


def inches(mm: float) -> str:
    """Inches for a column that says so in its head: `1 5/8 (1.650)`."""
    return say_length(mm, "in").replace(" in", "")


def millimetres(mm: float) -> str:
    """Millimetres for a column that says so in its head."""
    return say_length(mm).removesuffix(" mm")


def panel_letters(
    reports: Sequence[FoldReport], lines: Lines, within: float
) -> tuple[tuple[float, float, str], ...]:
    """Where the letters of the panels stand on the flat template: x, y and letter.

    Folding keeps the drawing's own coordinates and the template begins at its lower left, so the panels
    are moved there; none where the two don't cover the same area.
    """
    outlines = [p.outline for report in reports for p in report.panels]
    if not any(report.hinges for report in reports) or not outlines:
        return ()
    points = np.concatenate(outlines)
    cuts = lines.take(lines.operation == Operation.CUT)
    left, bottom, right, top = cuts.bounds
    shift = points.min(axis=0) - (left, bottom)
    if np.abs(points.max(axis=0) - (right, top) - shift).max() > within:
        return ()
    return tuple(
        (p.inner_point[0] - float(shift[0]), p.inner_point[1] - float(shift[1]), p.name)
        for report in reports
        if report.hinges
        for p in report.panels
    )


def slotted(lines: Lines) -> bool:
    """Whether at least two outlines have slots to push into each other.

    A slot is a notch with two equal long sides, square to a bottom that is no wider than thick card and
    some room.
    """
    found = 0
    for line in lines.take(lines.closed & (lines.operation == Operation.CUT)):
        step = np.diff(line.points, axis=0)
        length = np.hypot(*step.T)
        before, after = np.roll(length, 1), np.roll(length, -1)
        back = np.einsum("ij,ij->i", np.roll(step, 1, axis=0), np.roll(step, -1, axis=0))
        slot = (length < _SLOT) & (before > 4 * length) & (np.abs(before - after) < _SLOT)
        found += bool((slot & (back < -_ANTIPARALLEL * before * after)).any())
    return found >= 2


def both_units(mm: float) -> str:
    """A length as a maker reads it on either ruler: inches first, mm behind."""
    return f"{say_length(mm, 'in')} / {say_length(mm)}"
