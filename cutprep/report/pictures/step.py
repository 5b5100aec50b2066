"""The small picture beside a step: the piece as it stands when the step is done, what it is about in colour.

Drawn in millimetres of the printed sheet, so that its letters have their size there.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import replace
from html import escape

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from cutprep.geometry.space.hinged import tree_of
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Operation
from cutprep.report.hands.assembly.way import Do, Step
from cutprep.report.hands.steps import PieceWork
from cutprep.report.pictures.folded import Pose, View, camera, posed, view_at
from cutprep.report.pictures.panel_letters import letter_place
from cutprep.report.pictures.paths import number, path_data, paths_data
from cutprep.report.pictures.sheet import line_class

#: Size of a step's picture, and of one of the finished piece, in print, mm.
_STEP, _DONE = (35.0, 27.0), (62.0, 46.0)
#: Height of letters, mm: 7.4 pt. Room that one needs round its middle, mm.
_LETTER, _ROOM = 2.6, 1.55
#: Where the eye may be: the one that sees most of what the step is about is taken, the first of equals.
_EYES = tuple((a, e) for e in (28.0, 52.0, -30.0) for a in (-58.0, 32.0, -148.0, 122.0))
#: From here on the eyes look well down, as many as there are ways round.
_INTO = 4
#: A view that shows this share of what a step is about is good enough; another one must show so much more
#: to be taken instead: pictures of a row keep still.
_ENOUGH, _BETTER = 0.3, 1.1
#: A panel that is seen so narrowly (area, mm2) is edge-on, and hides nothing.
_EDGE_ON = 0.01
_FLAT = (Do.BLANK, Do.SCORE, Do.CREASE, Do.OPENINGS, Do.OUTLINE)


def step_picture(step: Step, work: PieceWork, *, eye: int = 0) -> tuple[str, int]:
    """Draw a step of a piece.

    Parameters
    ----------
    eye
        Where the eye was for the step before.

    Returns
    -------
    tuple of str and int
        SVG, empty for a step with nothing to see, and where the eye is.
    """
    report = work.piece.folds
    if step.folded and report is not None:
        return _folded(step, replace(report, up=work.built.up), eye, _STEP)
    return (_flat(step, work), eye) if step.do in _FLAT else ("", eye)


def done_picture(work: PieceWork) -> str:
    """Draw a piece as it stands when all is done; empty when nothing folds."""
    report = work.piece.folds
    if report is None:
        return ""
    last = work.built.steps[-1].folded if work.built.steps else ()
    whole = Step(Do.FOLD, f"{report.name}, folded", last or (1.0,) * len(report.hinges))
    return _folded(whole, replace(report, up=work.built.up), 0, _DONE)[0]


def _frame(label: str, body: Sequence[str], size: tuple[float, float]) -> str:
    return (
        f'<svg class="step-picture" viewBox="0 0 {number(size[0])} {number(size[1])}" role="img" '
        f'aria-label="{escape(label)}">{"".join(body)}</svg>'
    )


def _flat(step: Step, work: PieceWork) -> str:
    """The flat card: a bare blank, or with what the step works on standing out."""
    lines = work.piece.lines
    width, height = work.piece.size
    size = _scale(width, height, _STEP)
    x, y = (_STEP[0] - width * size) / 2, (_STEP[1] + height * size) / 2

    def placed(points: ArrayLike) -> Points:
        return np.asarray(np.asarray(points) * (size, -size) + (x, y))

    blank = (
        f'<rect class="card" x="{number(x)}" y="{number(y - height * size)}" width="{number(width * size)}" '
        f'height="{number(height * size)}"/>'
    )
    if step.do is Do.BLANK:
        return _frame("the blank", [blank], _STEP)
    outer = _outer(lines)
    whole = step.do in (Do.SCORE, Do.OPENINGS)
    drawn = paths_data(placed(lines.xy), lines.start)
    body = [blank] if whole else [f'<path class="card" d="{drawn[outer]}"/>'] if outer >= 0 else []
    cut, inside = np.isin(lines.operation, (Operation.CUT, Operation.PARTIAL_CUT)), lines.closed
    inside = inside & (np.arange(len(lines)) != outer)
    worked = cut & (~inside if step.do is Do.OUTLINE else inside) & (step.do in (Do.OUTLINE, Do.OPENINGS))
    body += [
        f'<path class="{"cut" if lit else "pale"}" d="{data}"/>'
        for lit, data in zip(worked.tolist(), drawn, strict=True)
    ]
    for count in step.scores:
        row = work.rows[count - 1]
        name = line_class(Operation.PERFORATE if row.perforated else Operation.SCORE, row.fold)
        body += [f'<path class="{name}" d="{path_data(placed(stroke))}"/>' for stroke in row.strokes]
    return _frame("the flat piece", body, _STEP)


def _scale(width: float, height: float, room: tuple[float, float]) -> float:
    """Scale at which a size fits into a picture with a millimetre all round."""
    return min((room[0] - 2) / max(width, 1.0), (room[1] - 2) / max(height, 1.0))


def _outer(lines: Lines) -> int:
    """Its outline: the closed cut line of the largest area."""
    rows = np.flatnonzero(lines.closed & (lines.operation == Operation.CUT))
    if not len(rows):
        return -1
    cuts = lines.take(rows)
    rings = shapely.linearrings(cuts.xy, indices=np.repeat(np.arange(len(cuts)), cuts.counts))
    areas = shapely.area(shapely.polygons(rings))
    return int(rows[int(areas.argmax())]) if areas.max() > 0 else -1


def _folded(step: Step, report: FoldReport, eye: int, room: tuple[float, float]) -> tuple[str, int]:
    radians = _angles(step, report)
    if step.do is Do.FILL:
        eye = _INTO + eye % _INTO  # the same way round, and from above
    lit = step.lit or tuple(range(len(report.panels)))
    areas = np.array([shapely.Polygon(report.panels[k].outline).area for k in lit])
    pose = posed(report, radians)
    view = view_at(report, pose, *_EYES[eye])
    shown = _seen(view, lit)
    if shown < _ENOUGH * areas.sum() and step.do is not Do.FILL:
        most = _turned_to_eyes(report, pose, lit) @ areas
        for other, at in enumerate(_EYES):
            if other != eye and most[other] > _BETTER * shown:
                rival = view_at(report, pose, *at)
                more = _seen(rival, lit)
                if more > _BETTER * shown:
                    view, shown, eye = rival, more, other
    return _draw(step, report, view, room), eye


def _turned_to_eyes(report: FoldReport, pose: Pose, panels: Sequence[int]) -> Points:
    """Which share of each panel an eye sees at most, (eyes, panels): what nothing hides, foreshortened."""
    towards = np.array([camera(report.up, *at)[2] for at in _EYES])
    return np.asarray(np.abs(towards @ pose[0][list(panels), :, 2].T))


def _angles(step: Step, report: FoldReport) -> Points:
    """Fold angle above every panel, radians; one that is not known is folded right over."""
    tree = tree_of(report)
    above = np.zeros(len(report.panels))
    if tree is None:
        return above
    for panel in tree.members[1:].tolist():
        row = int(tree.hinge[panel])
        full = report.hinges[row].angle
        over = 180.0 if report.hinges[row].fold >= 0 else -180.0
        above[panel] = np.radians(step.folded[row] * (full if np.isfinite(full) else over))
    return above


def _seen(view: View, panels: Sequence[int]) -> float:
    """Area of panels that nothing hides, in the picture."""
    return sum(part.area for _, part in _uncovered(view, frozenset(panels)))


def _uncovered(view: View, panels: Container[int]) -> list[tuple[int, BaseGeometry]]:
    """What is seen of each of some panels, the nearest first."""
    cover: BaseGeometry = shapely.Polygon()
    found = []
    first = next((i for i, k in enumerate(view.order) if k in panels), len(view.order))
    for k in reversed(view.order[first:]):  # what lies behind them hides nothing of them
        shape = shapely.Polygon(view.panels[k][:-1, :2], [h[:-1, :2] for h in view.holes[k]])
        if not shape.is_valid or shape.area < _EDGE_ON:
            continue
        if k in panels:
            found.append((k, shape.difference(cover)))
        cover = cover.union(shape)
    return found


def _draw(step: Step, report: FoldReport, view: View, room: tuple[float, float]) -> str:
    left, bottom, right, top = view.bounds
    size = _scale(right - left, top - bottom, room)
    middle = np.array([(left + right) / 2, (bottom + top) / 2])

    def placed(points: Points) -> Points:
        return np.asarray((points[:, :2] - middle) * (size, -size) + np.array(room) / 2)

    body = []
    for k in view.order:
        rings = "".join(
            f"M{'L'.join(_pair(p) for p in placed(ring[:-1]))}Z" for ring in (view.panels[k], *view.holes[k])
        )
        body.append(f'<path class="{"lit" if k in step.lit else "card"}" fill-rule="evenodd" d="{rings}"/>')
    letters = []
    for k, part in _uncovered(view, view.order):
        spot = _letter_spot(part, size, len(report.panels[k].name))
        if spot is not None:
            x, y = placed(np.array([spot]))[0]
            letters.append(
                f'<text x="{number(float(x))}" y="{number(float(y) + _LETTER * 0.36)}" font-size="{_LETTER}">'
                f"{escape(report.panels[k].name)}</text>"
            )
    return _frame(step.text, [*body, *letters], room)


def _letter_spot(part: BaseGeometry, size: float, length: int) -> tuple[float, float] | None:
    """The middle of the largest piece that is seen of a panel, when a letter has room there."""
    largest = max(shapely.get_parts(part), key=lambda g: g.area, default=None)
    if largest is None or largest.is_empty or largest.area * size**2 < 4 * _ROOM**2:
        return None
    place, room = letter_place(largest, 0.1 / size)
    if room * size < _ROOM * (1 + 0.45 * (length - 1)):
        return None
    return float(place[0, 0]), float(place[0, 1])


def _pair(point: Points) -> str:
    return f"{number(float(point[0]))} {number(float(point[1]))}"
