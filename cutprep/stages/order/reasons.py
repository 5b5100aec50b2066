"""Why each stroke stands where it does, in words."""

from __future__ import annotations

import numpy as np

from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.stages.order.entry.stages import STAGE_NAMES
from cutprep.stages.order.entry.starts import begins_at_corner, has_run
from cutprep.stages.order.tour.search import Route
from cutprep.stages.order.tour.task import Task, precedence


def reasons(task: Task, strokes: Strokes, route: Route) -> tuple[str, ...]:
    """Give the reason for each stroke's place: stage, precedence, tour, start and direction."""
    after: dict[int, list[str]] = {}
    before: dict[int, list[str]] = {}
    for (one, other), why in precedence(task).items():
        before.setdefault(one, []).append(why)
        after.setdefault(other, []).append(why)
    ends = strokes.lines.xy[strokes.lines.start[1:] - 1]
    begins = strokes.lines.xy[strokes.lines.start[:-1]]
    gaps = np.hypot(*(begins - np.vstack(([task.home], ends[:-1])) if len(begins) else np.zeros((0, 2))).T)
    said = []
    for number, line in enumerate(route.order.tolist()):
        words = [f"stage: {STAGE_NAMES[int(strokes.stage[number]) % len(STAGE_NAMES)]}"]
        words += _bonds(after.get(line, []), "after")
        words += _bonds(before.get(line, []), "before")
        words.append(f"tour: {gaps[number]:.1f} mm from {'the stroke before' if number else 'home'}")
        words += _start(strokes, number)
        if route.back[line] and not strokes.lines.closed[number]:
            words.append("runs against the drawing")
        said.append("; ".join(words))
    return tuple(said)


def _bonds(whys: list[str], word: str) -> list[str]:
    """Say `after 3 lines (lies inside 2, touches the cut 1)`."""
    if not whys:
        return []
    parts = ", ".join(f"{why} {whys.count(why)}" for why in sorted(set(whys)))
    return [f"{word} {len(whys)} line{'s' if len(whys) > 1 else ''} ({parts})"]


def _start(strokes: Strokes, number: int) -> list[str]:
    """Say where a closed cut begins."""
    lines = strokes.lines
    if not lines.closed[number] or lines.operation[number] != Operation.CUT:
        return []
    points, curved = lines.points(number), lines.curves(number)
    if begins_at_corner(points, curved):
        return ["begins at a corner: travel outweighs"]
    if not has_run(points, curved):
        return ["begins at a corner: no run of 3 mm"]
    return ["begins on a run, away from corners"]
