"""The lines of a drawing that folding looks at: cuts, scores and perforations, with their fold.

The fold angle may stand in a layer's name: `score valley 90`, `mountain-45`, `crease 60 deg`. In
the name of a single line it counts only with its unit (`valley 90 deg`), because drawing programs
number lines (`valley 12`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np

from cutprep.geometry.closeness.dashes import join_dashes
from cutprep.geometry.lines.pose import CanonicalPose, pose_of
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Codes, Element, Index, Lines, Points
from cutprep.model.operation import Fold, Operation

#: How much lines count when a drawing is posed: what is drawn alike with another operation or fold is another drawing.
_WEIGHTS = {Operation.CUT: 1.0, Operation.SCORE: 1.7, Operation.PERFORATE: 2.3}
_PER_FOLD = 0.37
#: Bits of what a piece of line does.
CUT, SCORE, PERFORATION = 1, 2, 4

_DIRECTED = re.compile(r"\b(valley|mountain)[\s_-]*(\d{1,3}(?:\.\d+)?)\b")
_IN_DEGREES = re.compile(r"(\d{1,3}(?:\.\d+)?)\s*(?:°|deg\b|degrees?\b)")
# A small number after a word is far more often a count than an angle.
_SCORED = re.compile(r"\b(?:score|crease|fold)[\s_-]+(\d{2,3}(?:\.\d+)?)\b")
_LEAST_BARE_ANGLE = 15.0


@dataclass(frozen=True, slots=True, eq=False)
class NetLines:
    """Lines that fold or part the card.

    Attributes
    ----------
    lines
        m lines.
    operations
        (m,) ndarray of int8: CUT, SCORE or PERFORATION.
    fold
        (m,) ndarray of int8: `Fold` codes.
    degrees
        (m,) ndarray of float: fold angle in the name, signed, or NaN.
    line
        (m,) ndarray of int: index into the drawing's lines.
    """

    lines: Lines
    operations: Codes
    fold: Codes
    degrees: Points
    line: Index


def angle_in(name: str, *, bare: bool = True) -> float | None:
    """Find a fold angle in a name, degrees; negative when the name says mountain.

    Parameters
    ----------
    bare
        A number without unit counts too, if it is no small one.

    Examples
    --------
    >>> angle_in("score valley 90"), angle_in("mountain_45"), angle_in("score 2")
    (90.0, -45.0, None)
    """
    text = re.sub(r"[_/]", " ", name.lower())
    match = _IN_DEGREES.search(text)
    value = float(match[1]) if match else None
    if match is None and bare:
        match = _DIRECTED.search(text) or _SCORED.search(text)
        value = float(match[match.lastindex or 1]) if match else None
        value = None if value is not None and value < _LEAST_BARE_ANGLE else value
    if value is None or value > 180.0:
        return None
    return -value if re.search(r"\bmountain\b", text) else value


def fold_in(name: str) -> Fold:
    """Find a fold direction in a name."""
    text = re.sub(r"[_/-]", " ", name.lower())
    mountain, valley = (bool(re.search(rf"\b{w}\b", text)) for w in ("mountain", "valley"))
    if mountain == valley:
        return Fold.UNSAID
    return Fold.MOUNTAIN if mountain else Fold.VALLEY


def pick_net_lines(drawing: Drawing) -> NetLines:
    """Pick the lines that fold or part the card."""
    lines = drawing.lines
    operations = np.zeros(len(lines), np.int8)
    for operation, bit in (
        (Operation.CUT, CUT),
        (Operation.SCORE, SCORE),
        (Operation.PERFORATE, PERFORATION),
    ):
        operations[lines.operation == operation] = bit
    line = np.flatnonzero(operations)
    taken = lines.take(line)
    degrees = np.full(len(line), np.nan)
    fold = taken.fold.copy()
    for i in np.flatnonzero(operations[line] != CUT).tolist():
        said, direction = _spoken(lines.element(int(line[i])))
        if fold[i] == 0:
            fold[i] = direction
        if said is not None:
            degrees[i] = abs(said) * (-1.0 if fold[i] < 0 else 1.0)
    return NetLines(taken, operations[line], fold, degrees, line)


def with_rows_joined(drawn: NetLines) -> NetLines:
    """Make one line of every row of score or perforation dashes."""
    cuts = drawn.operations == CUT
    kind = np.where(cuts, -1, 4 * drawn.operations.astype(np.int64) + drawn.fold + 1)
    joined = join_dashes(drawn.lines, kind, cuts)
    own = joined.own
    return NetLines(joined.lines, drawn.operations[own], drawn.fold[own], drawn.degrees[own], drawn.line[own])


def posed_drawing(drawing: Drawing) -> tuple[Drawing, CanonicalPose]:
    """Lay a drawing as the lines that fold or part the card would have it; as it is, when nothing folds.

    A flat ornament has no way of folding that a turn could change.
    """
    lines = drawing.lines
    weights = np.zeros(len(lines))
    for operation, weight in _WEIGHTS.items():
        weights[lines.operation == operation] = weight
    taken = np.flatnonzero(weights)
    if not (weights[taken] != _WEIGHTS[Operation.CUT]).any():
        return drawing, CanonicalPose()
    pose = pose_of(lines.take(taken), (weights + _PER_FOLD * lines.fold)[taken])
    return drawing.with_lines(replace(lines, xy=pose.there(lines.xy))), pose


def _spoken(element: Element) -> tuple[float | None, int]:
    """Angle and direction in an element's own name, else in its layer's."""
    angle: float | None = None
    direction = Fold.UNSAID
    for name in (element.label, element.layer.rsplit("/", 1)[-1], element.layer):
        angle = angle_in(name, bare=name is not element.label) if angle is None else angle
        direction = direction or fold_in(name)
    return angle, int(direction)
