"""Rows of strips of one depth along a line across several walls: hems, frills, tabs to glue a base to.

A hem in one piece has the walls' scores running on through it. Turned over by half a turn, it folds
at those scores the other way, as seen on its own face. (Rigid folding at a vertex of four scores, two and
two in line; Demaine and O'Rourke, Geometric Folding Algorithms, 2007, chapter 12.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.net.idle import is_perforated, straight_lines
from cutprep.stages.fold.net.part import HingedPart

#: A hem has at least this many strips.
_LEAST = 3
#: Its scores lie within this of one line, and its strips are as deep as one another within this, mm.
_ONE_LINE, _ONE_DEPTH = 0.3, 0.6
#: Of a drawing whose ends had to be drawn together over no more than this they are where they belong, mm.
_CLEAN = 0.05
#: A hem's strip fills this share of its score's length times its depth, a tab less.
_FULL, _TAPERED = 0.85, 0.5
#: Walls whose widths differ by less than this share are equal; a panel with no more than this share of a wall's area
#: is the glue flap beside it; tabs reach no further than this share of the way to the middle of an end.
_EQUAL, _FLAP, _CLOSES = 0.02, 0.6, 0.8
#: Scores along one another (cosine of 25 degrees).
_ALONG = 0.9
#: A hem is no deeper than this share of the walls that it hangs on.
_SHALLOW = 0.4
#: A frill has at least this many strips, over gussets of three sides.
_FRILLED, _TRIANGLE = 6, 3


@dataclass(frozen=True, slots=True)
class Hem:
    """Strips of one depth that are folded over along a line across several walls.

    Attributes
    ----------
    hinges
        Scores between walls and strips.
    panels
        The strips.
    folds
        Score between two strips to the score of the walls that it goes on from.
    """

    hinges: tuple[int, ...]
    panels: frozenset[int]
    folds: dict[int, int]


def hems_of(part: HingedPart) -> tuple[Hem, ...]:
    """Find the hems of a part."""
    found = (_hem(part, row) for row in _rows(part, _FULL))
    return tuple(hem for hem in found if hem is not None)


def end_tabs_of(part: HingedPart) -> frozenset[int]:
    """Tabs at an end of a tube of equal walls, or of four in pairs, one on each, that leave the most of it open.

    A base of its own is glued to them.
    """
    found: set[int] = set()
    for row in _rows(part, _TAPERED):
        panels = {p for _, p in row}
        walls = {part.hinges[k].other(p) for k, p in row}
        alone = all(len(part.hinges_at(p)) == 1 for p in panels) and len(panels) == len(row)
        if not alone or len(walls) < 4 or _reach(part, *row[0]) > _CLOSES * _half_open(part, walls, row):
            continue
        if _hang_together(part, walls) and not _others_there(part, row, walls):
            found |= panels
    return frozenset(found)


def frills_of(part: HingedPart) -> frozenset[int]:
    """Strips that go on from gussets beyond a gathered end: they stand up and close nothing."""
    found: set[int] = set()
    strips = [
        (k, p)
        for k, h in enumerate(part.hinges)
        for p in (h.a, h.b)
        if h.kind == "straight" and _corners(part, h.other(p)) == _TRIANGLE and _is_full(part, k, p, _FULL)
    ]
    while strips:
        row = [s for s in strips if _goes_with(part, strips[0], s)]
        strips = [s for s in strips if s not in row]
        panels = {p for _, p in row}
        within = {k for p in panels for k in part.hinges_at(p)} - {k for k, _ in row}
        if len(panels) >= _FRILLED and all({part.hinges[k].a, part.hinges[k].b} <= panels for k in within):
            found |= panels
    return frozenset(found)


def _corners(part: HingedPart, panel: int) -> int:
    """How many corners a panel has, pieces of a straight side counted as one."""
    ring = part.xy[list(part.rings[panel])]
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    turn = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    return int((turn > _ONE_LINE * np.minimum(np.hypot(*before.T), np.hypot(*after.T))).sum())


def _half_open(part: HingedPart, walls: set[int], row: list[tuple[int, int]]) -> float:
    """How far it is from the walls of a tube to the middle of its end, mm; 0 when that isn't known."""
    lengths = sorted(part.hinges[k].length for k, _ in row)
    if lengths[-1] - lengths[0] < _EQUAL * lengths[-1]:
        return float(lengths[0] / (2 * np.tan(np.pi / len(walls))))
    pairs = len(walls) == 4 and max(lengths[1] - lengths[0], lengths[3] - lengths[2]) < _EQUAL * lengths[3]
    return lengths[0] / 2 if pairs else 0.0


def _others_there(part: HingedPart, row: list[tuple[int, int]], walls: set[int]) -> bool:
    """Whether more hangs at the same end of the tube, or walls without a tab belong to it."""
    panels = {p for _, p in row}
    least = min(float(part.areas[w]) for w in walls)
    for k, h in enumerate(part.hinges):
        if len({h.a, h.b} & walls) == 1 and not {h.a, h.b} & panels:
            beyond = h.b if h.a in walls else h.a
            first = part.hinges[row[0][0]]
            u = (first.ends[1] - first.ends[0]) / first.length
            across = np.array([-u[1], u[0]])
            level = np.abs((h.ends - first.ends[0]) @ across).max() < _ONE_LINE
            upright = abs(float(u @ (h.ends[1] - h.ends[0]))) < 0.5 * part.hinges[k].length
            if level or (upright and float(part.areas[beyond]) > _FLAP * least):
                return True
    return False


def _rows(part: HingedPart, full: float) -> list[list[tuple[int, int]]]:
    """Strips, each with the score it hangs on, that lie along one line and are as deep."""
    strips = [(k, p) for k in range(len(part.hinges)) for p in _strips_at(part, k, full)]
    found = []
    while strips:
        together = [s for s in strips if _goes_with(part, strips[0], s)]
        strips = [s for s in strips if s not in together]
        found.append(together)
    return found


def hem_scores(part: HingedPart) -> frozenset[int]:
    """The scores that fold hems in one piece: these cross the walls' scores and fold all the same."""
    joined = [hem for hem in hems_of(part) if hem.folds]
    return frozenset(k for hem in joined for k in (*hem.hinges, *hem.folds, *hem.folds.values()))


def _strips_at(part: HingedPart, hinge: int, share: float) -> list[int]:
    """The panel beyond a score that is a shallow strip along it."""
    h = part.hinges[hinge]
    if h.kind != "straight" or is_perforated(part, hinge):
        return []
    found = []
    for strip, wall in ((h.a, h.b), (h.b, h.a)):
        deep = _reach(part, hinge, strip)
        if _is_full(part, hinge, strip, share) and deep <= _SHALLOW * _reach(part, hinge, wall):
            found.append(strip)
    return found


def _is_full(part: HingedPart, hinge: int, panel: int, share: float) -> bool:
    """Whether a panel fills a share of its score's length times its depth."""
    return float(part.areas[panel]) >= share * _reach(part, hinge, panel) * part.hinges[hinge].length


def _reach(part: HingedPart, hinge: int, panel: int) -> float:
    """How far a panel reaches from a score, mm."""
    h = part.hinges[hinge]
    u = (h.ends[1] - h.ends[0]) / h.length
    return float(np.abs((part.xy[list(part.rings[panel])] - h.ends[0]) @ np.array([-u[1], u[0]])).max())


def _goes_with(part: HingedPart, one: tuple[int, int], two: tuple[int, int]) -> bool:
    """Whether two strips lie along one line, on one side of it, and are as deep."""
    a, b = part.hinges[one[0]], part.hinges[two[0]]
    u = (a.ends[1] - a.ends[0]) / a.length
    across = np.array([-u[1], u[0]])
    # A score whose ends are off points past those that lie far along it.
    far = float(np.abs((b.ends - a.ends[0]) @ u).max()) / a.length
    lever = 2.0 * max(0.0, part.tolerance - _CLEAN) * far
    if np.abs((b.ends - a.ends[0]) @ across).max() > _ONE_LINE + lever:
        return False
    sides = [float((_middle(part, p) - a.ends[0]) @ across) for p in (one[1], two[1])]
    deep = abs(_reach(part, *one) - _reach(part, *two))
    return sides[0] * sides[1] > 0 and deep < _ONE_DEPTH


def _middle(part: HingedPart, panel: int) -> Points:
    return np.asarray(part.xy[list(part.rings[panel])].mean(axis=0))


def _hem(part: HingedPart, strips: list[tuple[int, int]]) -> Hem | None:
    """Put strips together; None when they are too few, or more hangs on them."""
    hinges, panels = tuple(k for k, _ in strips), frozenset(p for _, p in strips)
    if len(panels) < _LEAST:
        return None
    within = {k for p in panels for k in part.hinges_at(p)} - set(hinges)
    if not all({part.hinges[k].a, part.hinges[k].b} <= panels for k in within):
        return None
    if any(is_perforated(part, k) for k in within):
        return None  # tear lines across a tube part its glue flap as well
    walls = {part.hinges[k].other(p) for k, p in strips}
    if not _hang_together(part, walls):
        return None
    line, folds = straight_lines(part), {}
    for k in sorted(within):
        for other, h in enumerate(part.hinges):
            beyond = other not in within and line[other] == line[k] and {h.a, h.b} <= walls
            if beyond and set(h.tips) & set(part.hinges[k].tips):
                folds[k] = other
    if within and not _has_bottom(part, strips[0], walls, panels):
        return None  # a line across an open sleeve may be a tear line
    return Hem(hinges, panels, folds) if len(folds) == len(within) else None


def _has_bottom(part: HingedPart, strip: tuple[int, int], walls: set[int], panels: frozenset[int]) -> bool:
    """Whether something hangs on walls along the line of a hem, at their other end."""
    h = part.hinges[strip[0]]
    u = (h.ends[1] - h.ends[0]) / h.length
    beyond = [g for g in part.hinges if len({g.a, g.b} & walls) == 1 and not {g.a, g.b} & panels]
    return any(abs(float(u @ (g.ends[1] - g.ends[0]))) > _ALONG * g.length for g in beyond)


def _hang_together(part: HingedPart, walls: set[int]) -> bool:
    """Whether walls stand side by side, joined by scores."""
    seen, todo = set(), [min(walls)]
    while todo:
        panel = todo.pop()
        if panel not in seen:
            seen.add(panel)
            todo += [q for k in part.hinges_at(panel) if (q := part.hinges[k].other(panel)) in walls]
    return seen == walls
