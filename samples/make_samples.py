"""Draw the samples: everything for the honey fair of a village apiary, from dimensions.

Run it from anywhere: `python samples/make_samples.py`. It writes the clean templates as SVG and DXF
beside itself, the same with the faults of a hand into `hand-drawn/`, and the list of those faults into
`hand-drawn/faults.json`. All sizes are invented for the demonstration.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.stages.write.svg_file import write_svg
from cutprep.template.kinds import kind_named

HERE = Path(__file__).parent

#: Sample to kind of template and dimensions in mm.
DIMENSIONS: dict[str, tuple[str, dict[str, float]]] = {
    "jar-carton": (
        "prism-carton",
        {"sides": 6, "width": 36, "height": 45, "flap": 7, "seam": 9, "caliper": 0.3},
    ),
    "display-tray": ("tray", {"length": 132, "width": 78, "height": 30, "tab": 14, "caliper": 0.3}),
    "swing-tag": ("swing-tag", {"width": 40, "height": 70, "corner": 6, "hole": 4, "edge": 5}),
    "divider": (
        "divider",
        {"length": 131, "width": 77, "height": 26, "columns": 3, "rows": 2, "caliper": 0.3},
    ),
    "honeycomb-lace": ("lace", {"width": 150, "height": 100, "border": 8, "cell": 5, "bar": 1.8}),
}


@dataclass(frozen=True)
class Fault:
    """A fault of the hand: its code among the findings, where it is, and its figure in mm."""

    code: str
    x: float
    y: float
    measure: float


@dataclass
class Strokes:
    """A drawing as a hand makes it: single strokes, with faults put in one by one."""

    points: list[np.ndarray]
    operation: list[int]
    fold: list[int]
    faults: list[Fault]

    @classmethod
    def of(cls, lines: Lines) -> Strokes:
        """Split every line at its corners into single strokes; curves stay whole."""
        made = cls([], [], [], [])
        for i in range(len(lines)):
            rows, bends = lines.points(i), lines.curves(i)
            corners = [0, *(k for k in range(1, len(rows) - 1) if not bends[k]), len(rows) - 1]
            for first, last in pairwise(corners):
                made.add(rows[first : last + 1], int(lines.operation[i]), int(lines.fold[i]))
        return made

    def add(self, points: np.ndarray, operation: int, fold: int = 0) -> None:
        """Draw one more stroke."""
        self.points.append(np.array(points, dtype=float))
        self.operation.append(operation)
        self.fold.append(fold)

    def longest(self, operation: Operation, rank: int = 0) -> int:
        """The longest straight stroke of an operation, or the one `rank` places behind it."""
        mine = [i for i, op in enumerate(self.operation) if op == operation and len(self.points[i]) == 2]
        return sorted(
            mine, key=lambda i: (-round(float(np.hypot(*np.diff(self.points[i], axis=0)[0])), 6), i)
        )[rank]

    def double(self, i: int, begin: float = 0.0, end: float = 1.0, *, operation: int | None = None) -> None:
        """Draw a stroke again, backwards, or a piece of it; or draw it with another tool."""
        a, b = self.points[i]
        piece = np.array([a + (b - a) * end, a + (b - a) * begin])
        middle, run = piece.mean(axis=0), float(np.hypot(*(piece[1] - piece[0])))
        same = operation is None or operation == self.operation[i]
        self.add(piece, self.operation[i] if operation is None else operation, self.fold[i] if same else 0)
        code = "doubled-line" if same else "doubled-across-operations"
        self.faults.append(Fault(code, *map(float, middle), run))

    def gap(self, i: int, width: float) -> None:
        """Let a stroke begin too late."""
        a, b = self.points[i]
        step = (b - a) / np.hypot(*(b - a))
        self.faults.append(Fault("gap", *map(float, a + step * width / 2), width))
        self.points[i] = np.array([a + step * width, b])

    def overshoot(self, i: int, by: float) -> None:
        """Run a stroke past its end."""
        a, b = self.points[i]
        step = (b - a) / np.hypot(*(b - a))
        self.faults.append(Fault("score-past-outline", *map(float, b + step * by), by))
        self.points[i] = np.array([a, b + step * by])

    def stub(self, at: tuple[float, float], length: float) -> None:
        """Leave a stray short cut somewhere."""
        x, y = at
        self.add(np.array([(x, y), (x + length, y)]), int(Operation.CUT))
        self.faults.append(Fault("crumb" if length < 0.3 else "open-outline", x, y, length))

    def split(self, i: int, pieces: int) -> None:
        """Draw a stroke in several pieces."""
        a, b = self.points[i]
        marks = [a + (b - a) * k / pieces for k in range(pieces + 1)]
        self.points[i] = np.array(marks[:2])
        for k in range(1, pieces):
            self.add(np.array(marks[k : k + 2]), self.operation[i], self.fold[i])

    def lines(self) -> Lines:
        """All strokes as lines, on one layer for each operation and fold."""
        names = [self._layer(op, fold) for op, fold in zip(self.operation, self.fold, strict=True)]
        elements = tuple(
            Element(tag="path", ident=f"stroke-{i + 1}", layer=name) for i, name in enumerate(names)
        )
        return Lines.of(
            self.points,
            operation=self.operation,
            fold=self.fold,
            source=list(range(len(self.points))),
            elements=elements,
        )

    @staticmethod
    def _layer(operation: int, fold: int) -> str:
        word = Operation(operation).word
        return f"{word} {'valley' if fold > 0 else 'mountain'}" if fold else word


def spoil_carton(s: Strokes) -> None:
    """A wall's edge drawn twice, a fold drawn twice in part, a score over a cut, a gap, a stub, an overshoot."""
    cuts = [s.longest(Operation.CUT, rank) for rank in range(4)]
    scores = [s.longest(Operation.SCORE, rank) for rank in range(3)]
    s.double(cuts[0])
    s.double(scores[1], 0.25, 0.75)
    s.double(cuts[2], operation=int(Operation.SCORE))
    s.gap(cuts[3], 0.3)
    s.overshoot(scores[2], 1.5)
    s.stub((8.0, 60.0), 0.2)
    s.split(cuts[1], 3)


def spoil_tray(s: Strokes) -> None:
    """Two panels each drew their shared fold, one fold is cut through, one corner does not close."""
    cuts = [s.longest(Operation.CUT, rank) for rank in range(2)]
    scores = [s.longest(Operation.SCORE, rank) for rank in range(3)]
    s.double(scores[0])
    s.double(scores[2], operation=int(Operation.CUT))
    s.gap(cuts[1], 0.3)
    s.double(cuts[0], 0.3, 0.6)
    s.split(cuts[0], 4)


def spoil_tag(s: Strokes) -> None:
    """A side drawn twice, and a stray stub."""
    s.double(s.longest(Operation.CUT))
    s.stub((15.0, 20.0), 0.2)


SPOILT: dict[str, Callable[[Strokes], None]] = {
    "jar-carton": spoil_carton,
    "display-tray": spoil_tray,
    "swing-tag": spoil_tag,
}


def clean(name: str) -> Drawing:
    """One sample as it should be."""
    kind, dimensions = DIMENSIONS[name]
    return kind_named(kind).from_values(**dimensions)


def by_hand(name: str) -> Strokes:
    """The same sample as a hand draws it, with its faults listed."""
    strokes = Strokes.of(clean(name).lines)
    SPOILT[name](strokes)
    return strokes


def write(folder: Path, name: str, lines: Lines, page: tuple[float, float] | None) -> None:
    """Write one sample as SVG and as DXF."""
    (folder / f"{name}.svg").write_text(
        write_svg(lines, page=page, title=name, keep=True, arcs=True), encoding="utf-8", newline="\n"
    )
    (folder / f"{name}.dxf").write_text(
        write_dxf(lines, keep=True, arcs=True), encoding="utf-8", newline="\n"
    )


def main() -> None:
    """Write all samples."""
    faults = {}
    for name in DIMENSIONS:
        drawing = clean(name)
        write(HERE, name, drawing.lines, drawing.page)
        if name in SPOILT:
            strokes = by_hand(name)
            write(HERE / "hand-drawn", name, strokes.lines(), drawing.page)
            faults[name] = [asdict(fault) for fault in strokes.faults]
    text = json.dumps(faults, indent=1) + "\n"
    (HERE / "hand-drawn" / "faults.json").write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
