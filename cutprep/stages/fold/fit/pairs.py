"""Whether folded pieces fit: lid over base, drawer in sleeve, box in box, divider in tray, contents.

Both pieces are taken as they are made of card: caliper and glued layers count (`case`). What is
left over between the outside of the one and the inside of the other is the play; half of it lies
on each side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely

from cutprep.errors import JobError
from cutprep.model.folded import FoldReport, Verdict
from cutprep.model.lines import Points
from cutprep.stages.fold.fit.case import Case, case_of

#: Play below this is none, mm: what is drawn to fit exactly does fit.
NONE = 1e-3  # not a tolerance: sizes are told to a tenth
#: Nor is a lack below this one, mm: it would be told as 0.0 mm, and folding knows sizes no better.
LACK = 0.05
#: Pieces that are drawn as a pair differ by no more than this, mm (or the share below).
_PAIR, _PAIR_SHARE = 6.0, 0.06
#: Pieces whose sections differ by less than this are copies of one another, mm.
_COPIES = 0.05
#: A piece lower than this share of another looks like its lid.
_LID = 0.7
#: More parts than this are not tried in pairs.
_MOST = 12


@dataclass(frozen=True, slots=True)
class Fit:
    """How one piece goes into another.

    Attributes
    ----------
    outer, inner
        Names of the pieces.
    way
        "over": a lid on a base; "into": anything else.
    along, across
        Play along and across the outer piece's longest side, both sides together, mm; below 0
        there is no room. Of pieces that are no rectangles both are the least play.
    above
        How far the inner piece stays below the outer's rim, mm; below 0 it stands out.
    caliper
        Of the outer piece's card, mm.
    layers
        The most layers glued inside one of its walls.
    example
        One of the pieces is movable: the sizes are those of its regular position.
    """

    outer: str
    inner: str
    way: str
    along: float
    across: float
    above: float
    caliper: float
    layers: int
    example: bool = False

    @property
    def clearance(self) -> float:
        """The least play on each side, mm."""
        return min(self.along, self.across) / 2

    @property
    def fits(self) -> bool:
        """Whether there is room at all."""
        return min(self.along, self.across) > -LACK


def fit(outer: FoldReport, inner: FoldReport) -> Fit:
    """Put one folded piece into (or, as a lid, over) another.

    Raises
    ------
    JobError
        When the size of one of them is not known.
    """
    case = _case(outer)
    if _is_strip(inner):
        return _with_strip(case, inner)
    other = _case(inner)
    over = case.floor and not case.roof and other.floor and case.height_in < other.height_out
    plays = [(_play(case.inner, ring), tall) for ring, tall in _ways(case, other)]
    (along, across), tall = max(plays, key=lambda p: (min(p[0]), -abs(p[1] - case.height_in)))
    return Fit(
        case.name,
        other.name,
        "over" if over else "into",
        along,
        across,
        case.height_in - tall,
        case.thickness,
        case.layers,
        case.example or other.example,
    )


def fit_contents(outer: FoldReport, size: Sequence[float]) -> Fit:
    """Put something of a given length, width and height into a folded piece.

    Raises
    ------
    JobError
        When the size of the piece is not known.
    """
    case = _case(outer)
    along, across = _play(case.inner, _block(size[0], size[1]))
    words = " x ".join(f"{v:g}" for v in size)
    return Fit(
        case.name,
        f"{words} mm",
        "into",
        along,
        across,
        case.height_in - size[2],
        case.thickness,
        case.layers,
        case.example,
    )


def _case(report: FoldReport) -> Case:
    case = case_of(report)
    if case is None:
        raise JobError(
            f"the size of {report.name} is not known, so nothing can be said about what fits",
            fix="It has to fold up first; see its findings.",
        )
    return case


def _ways(case: Case, other: Case) -> Iterator[tuple[Points, float]]:
    """Sections that a piece may show as it goes in, and how long it then is."""
    yield other.outer, other.height_out
    if case.tube and len(other.outer) == 4:
        length, width = np.ptp(other.outer, axis=0).tolist()
        yield _block(length, other.height_out), width
        yield _block(width, other.height_out), length


def _block(length: float, width: float) -> Points:
    return np.array([[-length, -width], [length, -width], [length, width], [-length, width]]) / 2


def _play(room: Points, ring: Points) -> tuple[float, float]:
    """Play of a convex section in another, along its longest side and across, at the best turn."""
    return max(
        (_play_at(room, turned) for turned in _turned(room, ring)), key=lambda p: (round(min(p), 6), sum(p))
    )


def _turned(room: Points, ring: Points) -> Iterator[Points]:
    """A section with one of its sides along the first side of another."""
    first = room[1] - room[0]
    for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        turn = np.arctan2(first[1], first[0]) - np.arctan2(*(b - a)[::-1])
        c, s = np.cos(turn), np.sin(turn)
        yield ring @ np.array([[c, s], [-s, c]])


def _play_at(room: Points, ring: Points) -> tuple[float, float]:
    step = np.roll(room, -1, axis=0) - room
    size = np.hypot(*step.T)
    keep = size > NONE
    normal = np.column_stack((step[:, 1], -step[:, 0]))[keep] / size[keep, None]
    far = (normal * room[keep]).sum(axis=1) - (ring @ normal.T).max(axis=0)
    if len(normal) == 4:
        plays = (float(far[1] + far[3]), float(far[0] + far[2]))
        longest = int(size[keep].argmax()) % 2
        return plays if longest == 0 else plays[::-1]
    least = 2 * _largest_step(normal, far)
    return least, least


def _largest_step(normal: Points, far: Points) -> float:
    """Largest c for which some shift p has n.p + c <= far for all sides: the clearance all round."""
    best = -np.inf
    table = np.column_stack((normal, np.ones(len(far))))
    for rows in combinations(range(len(far)), 3):
        square = table[list(rows)]
        if abs(float(np.linalg.det(square))) < NONE:
            continue
        x = np.linalg.solve(square, far[list(rows)])
        if (table @ x <= far + NONE).all():
            best = max(best, float(x[2]))
    return best


def _is_strip(report: FoldReport) -> bool:
    """Whether a part closes nothing and has parallel scores only, such as a divider with lugs."""
    if report.verdict not in {Verdict.FLAT, Verdict.LEAF, Verdict.CANNOT_INFER} or not report.panels:
        return False
    runs = np.array([h.ends[1] - h.ends[0] for h in report.hinges]).reshape(-1, 2)
    return not len(runs) or bool(np.abs(runs[:, 0] * runs[0, 1] - runs[:, 1] * runs[0, 0]).max() < 1.0)


def _with_strip(case: Case, strip: FoldReport) -> Fit:
    """A divider in a tray: its straight length between lugs against the side it is nearest to."""
    main = max(strip.panels, key=lambda p: shapely.Polygon(p.outline).area)
    box = shapely.get_coordinates(shapely.Polygon(main.outline).minimum_rotated_rectangle)
    one, two = (float(np.hypot(*(box[k + 1] - box[k]))) for k in (0, 1))
    long = max(one, two) + (strip.thickness if len(strip.panels) > 1 else 0.0)
    plays = [float(v) - long for v in np.ptp(case.inner, axis=0)]
    along = min(plays, key=abs)
    return Fit(
        case.name,
        strip.name,
        "into",
        along,
        along,
        case.height_in - min(one, two),
        case.thickness,
        case.layers,
        case.example,
    )


def found_fits(reports: Sequence[FoldReport]) -> tuple[tuple[int, int, Fit], ...]:
    """Pairs of pieces that look as if drawn for one another: outer, inner, and how they fit."""
    if not 1 < len(reports) <= _MOST:
        return ()
    cases = [case_of(r) if r.ok else None for r in reports]
    shoulders = _shoulders(cases)
    found = [
        (box, frame, fit(reports[box], reports[frame])) for frame in shoulders for box in shoulders[frame]
    ]
    for i, j in combinations(range(len(reports)), 2):
        one, two = cases[i], cases[j]
        if one is None or two is None or one.roof or two.roof:
            continue
        if any({i, j} <= {frame, *boxes} for frame, boxes in shoulders.items()):
            continue
        pair = _pair(one, two)
        if pair is not None:
            outer, inner = (i, j) if pair else (j, i)
            found.append((outer, inner, fit(reports[outer], reports[inner])))
    return tuple(found)


def _shoulders(cases: Sequence[Case | None]) -> dict[int, list[int]]:
    """Tubes that two boxes are drawn for, and stand out of the lower one: base and lid meet on such a shoulder."""
    found = {}
    for k, tube in enumerate(cases):
        if tube is None or not tube.tube:
            continue
        boxes = [
            i
            for i, box in enumerate(cases)
            if box is not None and box.floor and not box.roof and _difference(box, tube.outer) is not None
        ]
        if len(boxes) == 2 and any(tube.height_out > cases[i].height_in for i in boxes):  # type: ignore[union-attr]
            found[k] = boxes
    return found


def _pair(one: Case, two: Case) -> bool | None:
    """Whether the first goes round the second; None when they are no pair."""
    if one.tube and two.tube:
        return None
    if one.tube != two.tube:
        tube, box = (one, two) if one.tube else (two, one)
        for ring, tall in _ways(tube, box):
            off = _difference(tube, ring)
            if off is not None and abs(tall - tube.height_in) < _PAIR + _PAIR_SHARE * tall:
                return one.tube
        return None
    off = _difference(one, two.outer)
    if off is None:
        return None
    low, high = sorted((one.height_out, two.height_out))
    if high - low < _COPIES and max(map(abs, _play(one.outer, two.outer))) < _COPIES:
        return None
    if low < _LID * high:
        return one.height_out < two.height_out
    return off > 0


def _difference(room: Case, ring: Points) -> float | None:
    """By how much a room is larger than a section; None when they are far from one size."""
    if len(room.inner) != len(ring):
        return None
    plays = _play(room.inner, ring)
    limit = _PAIR + _PAIR_SHARE * float(np.ptp(ring, axis=0).max())
    return None if max(map(abs, plays)) > limit else min(plays)
