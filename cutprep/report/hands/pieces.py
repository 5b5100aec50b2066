"""The pieces of a template, each with a blank of its own: lines from its own corner, and how it folds."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from cutprep.geometry.affine import shift
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Index, Lines, Points
from cutprep.model.operation import Operation
from cutprep.report.hands.ruler import millimetres, scale
from cutprep.report.outcome import TemplateOutcome

#: Corners of two pieces are compared to this, mm: pieces that differ by less are one kind for scissors.
_ALIKE = 0.1
#: So many kinds of pieces are shown one by one: with a thousand islands of a map nobody turns the pages.
MOST = 60
_WORDS = re.compile(r"[^\W\d_]+( [^\W\d_]+){0,2}( \d{1,2})?")


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One kind of piece of a template.

    Attributes
    ----------
    name
        The template's name when it is alone, else as sentences name it: by its label, or "piece 1" and so on.
    lines
        Its lines, its own lower left corner at the origin, mm.
    alike
        How many of it one copy of the template has.
    report
        How it folds; its points lie in the drawing.
    corner
        Where the drawing has the piece's lower left corner, mm.
    label
        What the drawing calls it, where it does.
    """

    name: str
    lines: Lines
    alike: int = 1
    report: FoldReport | None = None
    corner: tuple[float, float] = (0.0, 0.0)
    label: str = ""

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of its blank, mm."""
        left, bottom, right, top = self.lines.bounds
        return right - left, top - bottom

    @property
    def folds(self) -> FoldReport | None:
        """The report when there is something to fold in it."""
        report = self.report
        return report if report is not None and report.motion is not None and report.hinges else None

    @property
    def letters(self) -> tuple[tuple[float, float, str], ...]:
        """Where the letters of its panels stand on the blank: x, y, mm, and letter."""
        if self.folds is None:
            return ()
        x, y = self.corner
        return tuple((p.inner_point[0] - x, p.inner_point[1] - y, p.name) for p in self.folds.panels)


class Rest(NamedTuple):
    """Kinds of pieces that are not shown one by one.

    Attributes
    ----------
    kinds, pieces
        How many kinds, and how many pieces of them one copy of the template has.
    least, most
        Width and height of the smallest and the largest blank, mm.
    """

    kinds: int
    pieces: int
    least: tuple[float, float]
    most: tuple[float, float]

    @classmethod
    def of(cls, size: Points, alike: Index) -> Rest:
        """The rest with blanks of a size (k, 2), mm, so many (k,) of each."""
        by_area = np.argsort(size[:, 0] * size[:, 1], kind="stable")
        (a, b), (c, d) = size[by_area[0]].tolist(), size[by_area[-1]].tolist()
        return cls(len(size), int(alike.sum()), (a, b), (c, d))

    def told(self) -> str:
        """One sentence for the maker."""
        blanks = " to ".join(map(_wide_and_high, (self.least, self.most)))
        more = f"{self.pieces:,} more {'piece' if self.pieces == 1 else 'pieces'}"
        kinds = f"of {self.kinds:,} other {'shape' if self.kinds == 1 else 'shapes'}"
        if self.kinds == self.pieces > 1:
            kinds = "each of another shape"
        return (
            f"Beside these, one copy has {more}, {kinds}, with blanks of {blanks}: they are cut in the same way, and only "
            "the picture of the sheet shows them. A drawing of their own gives them a making sheet of their own."
        )


class PiecesShown(NamedTuple):
    """The kinds of pieces of a template that are shown one by one, and what else there is."""

    shown: tuple[Piece, ...]
    rest: Rest | None = None


def _wide_and_high(size: tuple[float, float]) -> str:
    inches, mm = " by ".join(scale([v]).inches(v) for v in size), " x ".join(map(millimetres, size))
    return f"{inches} in ({mm} mm)"


def pieces_of(template: TemplateOutcome, within: float) -> PiecesShown:
    """Take a template apart; pieces of one shape are one kind.

    Parameters
    ----------
    within
        How far a panel's outline may lie from the drawn one, mm: folding joins loose ends.
    """
    rows = [np.array([p.outline, *p.holes, *p.inner]) for p in template.divided]
    labels = [spoken(template.lines.element(p.outline).label) for p in template.divided]
    if len(rows) < 2:
        rows, labels = [np.arange(len(template.lines))], [""]
    first, alike, boxes = _kinds(template.lines, rows, labels)
    reports = _reports_at(template.folds, boxes[first] + np.tile(template.offset, 2), within)
    size = boxes[first, 2:] - boxes[first, :2]
    busy = [template.lines.operation[rows[k]].tolist() != [Operation.CUT] for k in first.tolist()]
    shown = _told_most(size, [_has_hinges(report) for report in reports], busy)
    names = [labels[k] for k in first.tolist()]
    pieces = []
    for number, kind in enumerate(shown.tolist(), 1):
        k, said = int(first[kind]), names[kind]
        corner = boxes[k, :2]
        label = said if names.count(said) == 1 else ""
        name = called(label) if label else f"piece {number}"
        pieces.append(
            Piece(
                name=template.name if len(first) == 1 else name,
                lines=template.lines.take(rows[k]).transform(shift(-corner[0], -corner[1])),
                alike=int(alike[kind]),
                report=reports[kind],
                corner=(float(corner[0] + template.offset[0]), float(corner[1] + template.offset[1])),
                label=label,
            )
        )
    left = np.setdiff1d(np.arange(len(first)), shown)
    return PiecesShown(tuple(pieces), Rest.of(size[left], alike[left]) if len(left) else None)


def _kinds(lines: Lines, rows: Sequence[Index], labels: Sequence[str]) -> tuple[Index, Index, Points]:
    """Which parts are alike.

    Parameters
    ----------
    rows, labels
        Lines of each of m parts, and what it is called.

    Returns
    -------
    first, alike
        (k,) part that is the first of each kind, rising, and how many parts are of it.
    boxes
        (m, 4) left, bottom, right, top of each part, mm.
    """
    taken = lines.take(np.concatenate(rows))
    heads = np.cumsum([0, *map(len, rows[:-1])])
    own = taken.boxes
    boxes = np.hstack((np.minimum.reduceat(own[:, :2], heads), np.maximum.reduceat(own[:, 2:], heads)))
    part = np.repeat(np.repeat(np.arange(len(rows)), list(map(len, rows))), taken.counts)
    spots = np.round((taken.xy - boxes[part, :2]) / _ALIKE).astype(np.int64)
    # What is the same for pieces of one shape, wherever their lines begin and whatever their order.
    named = np.column_stack((part, np.repeat(taken.operation, taken.counts), spots))
    named = named[np.lexsort(named.T[::-1])]
    named = named[np.append(True, (np.diff(named, axis=0) != 0).any(axis=1))]
    edges = np.searchsorted(named[:, 0], np.arange(len(rows) + 1)).tolist()
    counts: dict[tuple[str, bytes], list[int]] = {}
    for k, (a, b) in enumerate(pairwise(edges)):
        counts.setdefault((labels[k], named[a:b, 1:].tobytes()), [k, 0])[1] += 1
    first, alike = np.array(list(counts.values())).T
    return first, alike, boxes


def _has_hinges(report: FoldReport | None) -> bool:
    return report is not None and bool(report.hinges)


def _told_most(size: Points, folds: Sequence[bool], busy: Sequence[bool]) -> Index:
    """The kinds that are shown one by one: those that fold, those with more than an outline, the large ones."""
    area = size[:, 0] * size[:, 1]
    ranked = np.lexsort((-area, ~np.array(busy, bool), ~np.array(folds, bool)))
    return np.sort(ranked[:MOST])


def spoken(label: str) -> str:
    """A label that a person gave: words and perhaps a number; none of those that programs number through."""
    return label if _WORDS.fullmatch(label) else ""


def called(label: str) -> str:
    """A piece as a sentence names it: `the lid`, but `layer 2`."""
    return label if label[-1:].isdigit() else f"the {label}"


def _reports_at(reports: Sequence[FoldReport], boxes: Points, within: float) -> list[FoldReport | None]:
    """For each box (k, 4) of the drawing the first report whose panels cover the same rectangle."""
    panelled = [report for report in reports if report.panels]
    if not panelled:
        return [None] * len(boxes)
    points = [np.concatenate([p.outline for p in report.panels]) for report in panelled]
    theirs = np.array([[*own.min(axis=0), *own.max(axis=0)] for own in points])
    found: list[FoldReport | None] = []
    for box in boxes:
        near = np.flatnonzero(np.abs(theirs - box).max(axis=1) <= within)
        found.append(panelled[int(near[0])] if len(near) else None)
    return found
