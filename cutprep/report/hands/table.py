"""The table of scores of a piece as words: one row a setting, slanting score, curve or slot."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.operation import Fold
from cutprep.report.hands.ruler import RulerScale, millimetres
from cutprep.report.hands.scores import ScoreRow
from cutprep.report.hands.slots import Slot
from cutprep.report.hands.steps import PieceWork
from cutprep.units import say_thin

_FOLDS = {Fold.VALLEY: "valley", Fold.MOUNTAIN: "mountain", Fold.UNSAID: "fold"}
#: A score that stops this near to both edges of the blank runs all the way, mm.
_ALL = 1.0


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row.

    Attributes
    ----------
    number
        Of the score, as on the picture; empty for a slot.
    edge
        What a setting is measured from; what a slot opens to.
    at, runs
        Distance and extent, each in inches and in mm, without units; for a curve radius and points.
    fold
        Which way it folds; how deep and wide a slot is.
    """

    number: str
    edge: str
    at: tuple[str, str]
    runs: tuple[str, str]
    fold: str


@dataclass(frozen=True, slots=True)
class FoldTable:
    """All rows of a piece, by kind."""

    board: tuple[TableRow, ...]
    slanting: tuple[TableRow, ...]
    curves: tuple[TableRow, ...]
    slots: tuple[TableRow, ...]


def table_of(work: PieceWork) -> FoldTable:
    """Put a piece's scores into words."""
    numbered = [(str(i), row) for i, row in enumerate(work.rows, 1)]
    return FoldTable(
        board=tuple(_board(work, n, r) for n, r in numbered if r.kind in ("left", "lower")),
        slanting=tuple(
            TableRow(n, "", ("", ""), _points(work, r, " to "), _fold(r))
            for n, r in numbered
            if r.kind == "slanting"
        ),
        curves=tuple(
            TableRow(n, "", _radius(r), _points(work, r, "; "), _fold(r))
            for n, r in numbered
            if r.kind == "curve"
        ),
        slots=tuple(_slot(work, slot) for slot in work.slots),
    )


def _board(work: PieceWork, number: str, row: ScoreRow) -> TableRow:
    mine, other = (work.across, work.upward) if row.kind == "left" else (work.upward, work.across)
    far = work.piece.size[1 if row.kind == "left" else 0]
    runs = _both(other, row.spans)
    if len(row.spans) == 1 and row.spans[0][0] < _ALL and row.spans[0][1] > far - _ALL:
        runs = ("all the way", "all the way")
    return TableRow(number, row.kind, (mine.inches(row.at), millimetres(row.at)), runs, _fold(row))


def _both(scale: RulerScale, spans: tuple[tuple[float, float], ...]) -> tuple[str, str]:
    inch = "; ".join(f"{scale.inches(a)} to {scale.inches(b)}" for a, b in spans)
    return inch, "; ".join(f"{millimetres(a)} to {millimetres(b)}" for a, b in spans)


def _points(work: PieceWork, row: ScoreRow, between: str) -> tuple[str, str]:
    """Points as: from the left, from below."""
    inch = [f"{work.across.inches(x)}, {work.upward.inches(y)}" for x, y in row.points]
    return between.join(inch), between.join(f"{millimetres(x)}, {millimetres(y)}" for x, y in row.points)


def _radius(row: ScoreRow) -> tuple[str, str]:
    if not np.isfinite(row.radius):
        return "trace it", "trace it"
    return RulerScale(32, (0.0,), (0,)).inches(row.radius), millimetres(row.radius)


def _slot(work: PieceWork, slot: Slot) -> TableRow:
    scale = work.across if slot.side in ("upper", "lower") else work.upward
    # sixteenths would hide a slot's width, which is a layer of card and some room
    wide = f"{say_thin(slot.width, 'in')} ({millimetres(slot.width)} mm)"
    deep = f"{scale.both(slot.depth)} deep, {wide} wide"
    return TableRow("", slot.side, (scale.inches(slot.at), millimetres(slot.at)), ("", ""), deep)


def _fold(row: ScoreRow) -> str:
    if row.perforated and row.fold == Fold.UNSAID:
        return "tear line"
    return f"{_FOLDS[row.fold]}{', perforated' if row.perforated else ''}"
