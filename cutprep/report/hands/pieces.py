"""The pieces of a template, each with a blank of its own: lines from its own corner, and how it folds."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from cutprep.geometry.affine import shift
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Lines, Points
from cutprep.report.outcome import TemplateOutcome

#: Corners of two pieces are compared to this, mm: pieces that differ by less are one kind for scissors.
_ALIKE = 0.1
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


def pieces_of(template: TemplateOutcome, within: float) -> tuple[Piece, ...]:
    """Take a template apart; pieces of one shape are one kind.

    Parameters
    ----------
    within
        How far a panel's outline may lie from the drawn one, mm: folding joins loose ends.
    """
    rows = [np.array([p.outline, *p.holes, *p.inner]) for p in template.divided]
    labels = [_spoken(template.lines.element(p.outline).label) for p in template.divided]
    if len(rows) < 2:
        rows, labels = [np.arange(len(template.lines))], [""]
    kinds: dict[tuple[str, bytes], tuple[Lines, Points, int]] = {}
    for mine, label in zip(rows, labels, strict=True):
        lines = template.lines.take(mine)
        corner = np.array(lines.bounds[:2])
        lines = lines.transform(shift(-corner[0], -corner[1]))
        key = label, _shape(lines)
        first, where, count = kinds.get(key, (lines, corner, 0))
        kinds[key] = (first, where, count + 1)
    names = [label for label, _ in kinds]
    pieces = []
    for number, ((said, _), (lines, where, count)) in enumerate(kinds.items(), 1):
        corner = where + template.offset
        label = said if names.count(said) == 1 else ""
        name = called(label) if label else f"piece {number}"
        pieces.append(
            Piece(
                name=template.name if len(kinds) == 1 else name,
                lines=lines,
                alike=count,
                report=_report_at(template.folds, corner, lines, within),
                corner=(float(corner[0]), float(corner[1])),
                label=label,
            )
        )
    return tuple(pieces)


def _spoken(label: str) -> str:
    """A label that a person gave: words and perhaps a number; none of those that programs number through."""
    return label if _WORDS.fullmatch(label) else ""


def called(label: str) -> str:
    """A piece as a sentence names it: `the lid`, but `layer 2`."""
    return label if label[-1:].isdigit() else f"the {label}"


def _shape(lines: Lines) -> bytes:
    """What is the same for pieces of one shape, wherever their lines begin and whatever their order."""
    rounded = np.round(lines.xy / _ALIKE).astype(np.int64)
    named = np.column_stack((np.repeat(lines.operation, lines.counts), rounded))
    return np.unique(named, axis=0).tobytes()


def _report_at(
    reports: tuple[FoldReport, ...], corner: Points, lines: Lines, within: float
) -> FoldReport | None:
    """The report whose panels cover the same rectangle."""
    box = np.concatenate((corner, corner + np.array(lines.bounds[2:])))
    for report in reports:
        if not report.panels:
            continue
        points = np.concatenate([p.outline for p in report.panels])
        mine = np.concatenate((points.min(axis=0), points.max(axis=0)))
        if np.abs(mine - box).max() <= within:
            return report
    return None
