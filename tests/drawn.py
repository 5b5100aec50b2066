"""Short words to draw with in tests."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Severity
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from cutprep.tolerance import Tolerance
from tests.planted import arc, circle

__all__ = ["LIMITS", "Pen", "arc", "box", "circle", "codes", "faults"]

LIMITS = Tolerance()


def box(x: float, y: float, w: float, h: float) -> list[tuple[float, float]]:
    """A closed rectangle."""
    return [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]


class Pen:
    """A drawing that grows line by line: `Pen().cut(a, b).score(c).drawing`."""

    def __init__(self) -> None:
        self.points: list[np.ndarray] = []
        self.operation: list[int] = []
        self.fold: list[int] = []

    def add(self, operation: Operation, lines: Sequence[object], fold: int = 0) -> Pen:
        """Draw lines of one operation."""
        for points in lines:
            self.points.append(np.asarray(points, float))
            self.operation.append(int(operation))
            self.fold.append(fold)
        return self

    def cut(self, *lines: object) -> Pen:
        """Draw cuts."""
        return self.add(Operation.CUT, lines)

    def score(self, *lines: object, fold: int = 0) -> Pen:
        """Draw scores."""
        return self.add(Operation.SCORE, lines, fold)

    def perforate(self, *lines: object) -> Pen:
        """Draw perforations."""
        return self.add(Operation.PERFORATE, lines)

    def ink(self, *lines: object) -> Pen:
        """Draw pen lines."""
        return self.add(Operation.DRAW, lines)

    @property
    def lines(self) -> Lines:
        """What was drawn, an element for each line."""
        elements = tuple(
            Element(file="drawn.svg", line=i + 1, tag="path", ident=f"p{i}", layer=Operation(op).word)
            for i, op in enumerate(self.operation)
        )
        return Lines.of(
            self.points,
            operation=self.operation,
            fold=self.fold,
            source=list(range(len(self.points))),
            elements=elements or (Element(),),
        )

    @property
    def drawing(self) -> Drawing:
        """The same as a drawing."""
        return Drawing("drawn", self.lines)


def faults(drawing: Drawing | Pen, **options: object) -> list[Finding]:
    """Errors and warnings of a drawing."""
    drawing = drawing.drawing if isinstance(drawing, Pen) else drawing
    found = check(drawing, LIMITS, **options)
    return [finding for finding in found if finding.severity is not Severity.NOTE]


def codes(drawing: Drawing | Pen, **options: object) -> list[str]:
    """Codes of errors and warnings, sorted."""
    return sorted(finding.code for finding in faults(drawing, **options))
