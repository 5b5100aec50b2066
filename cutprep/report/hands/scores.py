"""Where the scores of a piece lie: distances for a scoring board, ends of slanting ones, curves as curves.

Scores that run along the blank's edges are given as distances from the left and the lower edge,
as one sets them on a scoring board; others by their two ends; round ones by radius and three
points. A blank is the smallest upright rectangle around a piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from cutprep.geometry.curves.arcs import fit_arc
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Fold, Operation
from cutprep.report.hands.pieces import Piece

#: Scores within this many degrees of an edge are set on the board like parallel ones; no published source.
_PARALLEL = 0.2
#: A bend of fewer turns, or with a sharper one (degrees), is no curve but corners.
_FEWEST_TURNS, _SHARPEST = 3, 40.0
#: A curve whose points lie this near to one circle is given by its radius, mm: a compass does no better.
_ROUND = 0.3
#: Scores with a gap up to this between them are made in one go by hand, mm: there is only waste in it.
_ONE_GO = 1.0
#: Sharpest bulge of a chord from its arc that still makes one curve, mm.
_BULGE = 3.0
#: Flattest curve that a compass or a piece of string draws, mm; beyond, the template is traced.
_FLATTEST = 1000.0


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """One setting of the scoring board, one slanting score, or one curve.

    Attributes
    ----------
    kind
        "left" or "lower": the edge to measure from; "slanting"; "curve".
    at
        Distance from that edge, mm; nan for the others.
    spans
        From where to where each score at this setting runs along the other direction, mm.
    points
        Both ends of a slanting score; begin, middle and end of a curve: (x, y) from the lower left
        corner, mm.
    radius
        Of a curve, mm; nan when it is no arc of a circle.
    fold
        Which way it folds.
    perforated
        It is a broken cut, not a score.
    path
        All points of a curve, for pictures.
    """

    kind: str
    at: float
    spans: tuple[tuple[float, float], ...]
    points: tuple[tuple[float, float], ...]
    fold: Fold
    perforated: bool
    radius: float = float("nan")
    path: tuple[tuple[float, float], ...] = ()

    @property
    def strokes(self) -> tuple[tuple[tuple[float, float], ...], ...]:
        """What is scored, as lines from the lower left corner, mm."""
        if self.kind == "left":
            return tuple(((self.at, a), (self.at, b)) for a, b in self.spans)
        if self.kind == "lower":
            return tuple(((a, self.at), (b, self.at)) for a, b in self.spans)
        return (self.path or self.points,)


def score_rows(piece: Piece, within: float) -> tuple[ScoreRow, ...]:
    """List the scores of a piece.

    Parameters
    ----------
    within
        Scores within this distance share a setting, mm.

    Returns
    -------
    tuple of ScoreRow
        First those from the left edge, then those from the lower edge, slanting ones, curves, each from the
        left to the right; their numbers are their places in it, from 1.
    """
    found: list[ScoreRow] = []
    for points, fold, broken in _score_lines(piece.lines):
        for run, curved in ((_forward(run), curved) for run, curved in _runs(points)):
            row = _curve(run, fold, broken) if curved else _straight(run, fold, broken, within)
            if row is not None:
                found.append(replace(row, fold=fold or _solved(piece, run)))
    by = {kind: [row for row in found if row.kind == kind] for kind in ("left", "lower", "slanting", "curve")}
    return (
        *_grouped(by["left"], within),
        *_grouped(by["lower"], within),
        *sorted(by["slanting"], key=_from_the_left),
        *sorted(by["curve"], key=_from_the_left),
    )


def _from_the_left(row: ScoreRow) -> list[tuple[float, float]]:
    """Where a row stands: merging lines leaves them in an order, and a direction, that hang on a last digit."""
    return [_place(point) for point in row.points]


def _place(point: tuple[float, float]) -> tuple[float, float]:
    """A point as a ruler has it; a hundredth of a millimetre is nothing by hand."""
    return round(point[0], 2) + 0.0, round(point[1], 2) + 0.0


def _forward(points: Points) -> Points:
    """A run told from its left end, the lower one of two above each other."""
    first, last = ((float(x), float(y)) for x, y in points[[0, -1]])
    return points if _place(first) <= _place(last) else points[::-1]


def _score_lines(lines: Lines) -> Iterator[tuple[Points, Fold, bool]]:
    """Scores, those that go on in one another as one line; with their fold and whether they are broken."""
    groups: dict[tuple[int, int], list[Points]] = {}
    for line in lines.take(np.isin(lines.operation, (Operation.SCORE, Operation.PERFORATE))):
        groups.setdefault((int(line.operation), int(line.fold)), []).append(line.points)
    for (operation, fold), members in groups.items():
        merged = shapely.line_merge(shapely.MultiLineString(members))
        for part in shapely.get_parts(merged):
            yield shapely.get_coordinates(part), Fold(fold), operation == Operation.PERFORATE


def _runs(points: Points) -> list[tuple[Points, bool]]:
    """Straight runs and curves of a line, in order: points, and whether they are those of a curve."""
    step = np.diff(points, axis=0)
    points = points[np.append(True, np.hypot(*step.T) > 0)]
    step = np.diff(points, axis=0)
    heading = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    turn = np.degrees(np.diff(heading))
    bends = (np.abs(turn) > _PARALLEL) & (np.abs(turn) < _SHARPEST)
    runs: list[tuple[Points, bool]] = []
    at = vertex = 0
    while vertex < len(turn):
        stop = vertex
        while stop < len(turn) and bends[stop] and turn[stop] * turn[vertex] > 0:
            stop += 1
        if stop - vertex >= _FEWEST_TURNS:
            # A curve has a chord before its first turn and one behind its last.
            if vertex > at:
                runs.append((points[[at, vertex]], False))
            runs.append((points[vertex : stop + 2], True))
            at, vertex = stop + 1, stop + 1
        elif abs(turn[vertex]) > _PARALLEL:
            runs.append((points[[at, vertex + 1]], False))
            at, vertex = vertex + 1, vertex + 1
        else:
            vertex += 1
    if at < len(points) - 1:
        runs.append((points[[at, -1]], False))
    return runs


def _curve(points: Points, fold: Fold, broken: bool) -> ScoreRow:
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    arc = fit_arc(points, _ROUND, _BULGE)
    middle = points[int(np.abs(along - along[-1] / 2).argmin())]
    radius = float("nan")
    if arc is not None:
        (x, y), sweep = arc
        size = float(np.hypot(points[0, 0] - x, points[0, 1] - y))
        if size <= _FLATTEST:
            radius = size
            half = np.array([[np.cos(sweep / 2), -np.sin(sweep / 2)], [np.sin(sweep / 2), np.cos(sweep / 2)]])
            middle = np.array([x, y]) + half @ (points[0] - (x, y))
    three = tuple((float(p[0]), float(p[1])) for p in (points[0], middle, points[-1]))
    path = tuple((float(x), float(y)) for x, y in points)
    return ScoreRow("curve", float("nan"), (), three, fold, broken, radius, path)


def _straight(run: Points, fold: Fold, broken: bool, within: float) -> ScoreRow | None:
    p, q = run
    dx, dy = np.abs(q - p)
    if max(dx, dy) <= within:
        return None
    if np.degrees(np.arctan2(min(dx, dy), max(dx, dy))) > _PARALLEL:
        ends = ((float(p[0]), float(p[1])), (float(q[0]), float(q[1])))
        return ScoreRow("slanting", float("nan"), (), ends, fold, broken)
    across, along = (0, 1) if dy > dx else (1, 0)
    span = (float(min(p[along], q[along])), float(max(p[along], q[along])))
    kind = "left" if across == 0 else "lower"
    return ScoreRow(kind, float(p[across] + q[across]) / 2, (span,), (), fold, broken)


def _solved(piece: Piece, run: Points) -> Fold:
    """Which way a score folds that the drawing says nothing of: as the finished piece needs it."""
    if piece.folds is None:
        return Fold.UNSAID
    middle = run[len(run) // 2 - 1 : len(run) // 2 + 1].mean(axis=0) + piece.corner
    signs = set()
    for hinge in piece.folds.hinges:
        if np.isfinite(hinge.angle) and hinge.angle and _far(middle, hinge.ends) <= _ROUND:
            signs.add(hinge.angle > 0)
    return Fold.UNSAID if len(signs) != 1 else Fold.VALLEY if signs.pop() else Fold.MOUNTAIN


def _far(point: Points, ends: Points) -> float:
    return float(shapely.distance(shapely.points(point), shapely.linestrings(ends)))


def _grouped(rows: Sequence[ScoreRow], within: float) -> list[ScoreRow]:
    """Gather scores at one distance and of one kind into one setting."""
    found: list[ScoreRow] = []
    for row in sorted(rows, key=lambda r: (r.fold, r.perforated, r.at, r.spans)):
        last = found[-1] if found else None
        if (
            last is not None
            and row.at - last.at <= within
            and (last.fold, last.perforated) == (row.fold, row.perforated)
        ):
            found[-1] = replace(last, spans=_joined((*last.spans, *row.spans), max(within, _ONE_GO)))
        else:
            found.append(row)
    return sorted(found, key=lambda r: r.at)


def _joined(spans: Sequence[tuple[float, float]], within: float) -> tuple[tuple[float, float], ...]:
    """Spans in order, those that touch as one."""
    found: list[tuple[float, float]] = []
    for begin, end in sorted(spans):
        if found and begin <= found[-1][1] + within:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return tuple(found)
