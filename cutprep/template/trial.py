"""The drawing of a trial: small figures in rows, each with what it tries written beside it.

Each figure lies on layers of its own, so that a machine can be told to work them differently. Sizes are common
practice, no published source: large enough to be lifted with a fingernail, small enough for a corner of a card.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines, Points
from cutprep.model.operation import Operation
from cutprep.template.letters import letters

#: Side of a square, side of a triangle, width of a tag, and radius of a circle, mm.
_SIDE, _TRIANGLE, _TAG, _RADIUS = 10.0, 11.0, 20.0, 5.0
#: Height of a figure's cell above its writing; between cells; between a figure and its writing, mm.
_TALL, _APART, _UNDER = 11.0, 4.0, 2.0
#: Capitals of the writing, and the line that the maker's pen needs for one, mm.
_HEIGHT = 3.0
_ROW = _TALL + _UNDER + _HEIGHT + _APART
#: Steps of a circle: chords stay within 0.003 mm of it.
_STEPS = 96
MARKS = "marks"

Shape = list[tuple[str, Points]]


@dataclass(frozen=True, slots=True)
class TrialRow:
    """Figures of one kind.

    Attributes
    ----------
    kind
        One of `KINDS`.
    written
        What stands beside each figure.
    """

    kind: str
    written: tuple[str, ...]


def layer_of(kind: str, number: int, operation: str) -> str:
    """The layer of a figure's lines; operations are "cut" and "score"."""
    return f"{operation} {kind} {number + 1}"


def trial_drawing(rows: Sequence[TrialRow], width: float, *, pen: bool) -> Drawing:
    """Draw the figures of a trial.

    Parameters
    ----------
    rows
        Kinds, each with its figures.
    width
        Room for them, mm.
    pen
        The machine writes what each figure tries; else that is for the eye only.

    Raises
    ------
    JobError
        When not even one figure fits into the width.
    """
    found: list[tuple[str, Operation, Points]] = []
    write = Operation.DRAW if pen else Operation.GUIDE
    top, named = 0.0, {row.kind: letters(row.kind, _HEIGHT) for row in rows if len(rows) > 1}
    indent = max((wide + _APART for _, wide in named.values()), default=0.0)
    for row in rows:
        above, (name, _) = top - _ROW + _UNDER + _HEIGHT, named.get(row.kind, ([], 0.0))
        found += [(MARKS, write, stroke + np.array([0.0, above])) for stroke in name]
        for line in _broken_into(row, width - indent):
            top -= _ROW
            x = indent
            for number in line:
                shape, wide = KINDS[row.kind]
                at = np.array([x, top + _UNDER + _HEIGHT])
                for operation, points in shape():
                    kind = Operation.SCORE if operation == "score" else Operation.CUT
                    found.append((layer_of(row.kind, number, operation), kind, points + at))
                strokes, _ = letters(row.written[number], _HEIGHT)
                found += [(MARKS, write, stroke + np.array([x, top])) for stroke in strokes]
                x += _cell(row, number, wide)
    corner = np.vstack([points for _, _, points in found]).min(axis=0)
    lines = Lines.concat(
        [
            Lines.of([points - corner], operation=operation, elements=(Element(layer=layer),))
            for layer, operation, points in found
        ]
    )
    _, _, right, above = lines.bounds
    return Drawing(name="trial", lines=lines, page=(right, above))


def _cell(row: TrialRow, number: int, wide: float) -> float:
    """How far the next figure begins to the right of one."""
    return max(wide, letters(row.written[number], _HEIGHT)[1]) + _APART


def _broken_into(row: TrialRow, width: float) -> Iterator[list[int]]:
    """Numbers of the figures, line by line, as many in each as have room."""
    wide = KINDS[row.kind][1]
    line: list[int] = []
    x = 0.0
    for number in range(len(row.written)):
        cell = _cell(row, number, wide)
        if cell - _APART > width:
            raise JobError(
                f"the card has no room for a trial: {cell:.0f} mm are needed, and {width:.0f} mm are there",
                fix="Take a larger sheet, or a narrower margin.",
            )
        if line and x + cell - _APART > width:
            yield line
            line, x = [], 0.0
        line.append(number)
        x += cell
    yield line


def _square() -> Shape:
    return [("cut", np.array([[0.0, 0.0], [_SIDE, 0.0], [_SIDE, _SIDE], [0.0, _SIDE], [0.0, 0.0]]))]


def _corners() -> Shape:
    """A triangle, whose corners turn by 120 degrees, and a square, whose corners turn by 90."""
    up = _TRIANGLE * np.sqrt(3.0) / 2.0
    triangle = np.array([[0.0, 0.0], [_TRIANGLE, 0.0], [_TRIANGLE / 2.0, up], [0.0, 0.0]])
    beside = np.array([_TRIANGLE + _APART, 0.0])
    return [("cut", triangle), *((operation, line + beside) for operation, line in _square())]


def _circle() -> Shape:
    turn = np.linspace(0.0, 2.0 * np.pi, _STEPS + 1)
    ring = _RADIUS * np.column_stack((1.0 + np.cos(turn), 1.0 + np.sin(turn)))
    ring[-1] = ring[0]
    return [("cut", ring)]


def _tag() -> Shape:
    """A small tag with a score across its middle, to be folded."""
    frame = np.array([[0.0, 0.0], [_TAG, 0.0], [_TAG, _SIDE], [0.0, _SIDE], [0.0, 0.0]])
    return [("cut", frame), ("score", np.array([[_TAG / 2.0, 0.0], [_TAG / 2.0, _SIDE]]))]


#: Kind of trial to its figure, and how wide that is, mm.
KINDS: dict[str, tuple[Callable[[], Shape], float]] = {
    "force": (_square, _SIDE),
    "offset": (_corners, _TRIANGLE + _APART + _SIDE),
    "overcut": (_circle, 2.0 * _RADIUS),
    "score": (_tag, _TAG),
    "pass": (_square, _SIDE),
}
