"""Nets drawn by a hand that starts and stops a little off: strokes that run over, stop short, lie twice.

A drawing holds one to three parts (cartons, trays, strips, lace). Every straight side is a stroke of its own; some
are split, all are shuffled, half are turned round, and the whole is turned. At corners of the outline, one end runs
over by up to 12 mm or stops short by up to the gap limit; score ends likewise; one stroke in ten is drawn again. What
the parts are comes from the clean strokes by GEOS (polygonize and union), not from our own graph.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely

from cutprep.geometry.planar.plane import Plane
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings, Severity
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.model.part import Template
from cutprep.stages.check.inspect import check
from cutprep.stages.divide import divide
from cutprep.stages.fold.plan import fold
from cutprep.stages.mend.mend import mend
from cutprep.tolerance import Tolerance
from tests.nets import Sketch, frustum_net, hex_prism, ngon_tray, open_cube, swing_tag, tray, tuck_end

LIMITS = Tolerance()
CUT, SCORE = int(Operation.CUT), int(Operation.SCORE)
#: An end that runs over must do so at this angle to all that meets there, so that it is one fault and no other.
_CLEAR_ANGLE = 60.0
#: What runs over must keep so far from everything else, mm.
_CLEAR = 1.8


@dataclass
class Fault:
    """One planted fault: its code, and where."""

    code: str
    xy: np.ndarray
    also: np.ndarray


@dataclass
class Hand:
    """Strokes of one drawing: two ends each, with what the hand did to them."""

    ends: np.ndarray
    operation: np.ndarray
    faults: list[Fault] = field(default_factory=list)

    def touched(self, spot: np.ndarray, within: float = 16.0) -> bool:
        """Whether a fault lies near a spot already."""
        return any(
            np.hypot(*(f.xy - spot)) < within or np.hypot(*(f.also - spot)) < within for f in self.faults
        )


def strip(rng: np.random.Generator) -> Sketch:
    """A long strip with scores across and slots from one side."""
    width, pitch, count = rng.uniform(18, 40), rng.uniform(22, 45), int(rng.integers(3, 6))
    s = Sketch("strip").ring((0, 0), (pitch * count, 0), (pitch * count, width), (0, width))
    for k in range(1, count):
        if rng.random() < 0.5:
            s.score((pitch * k, 0), (pitch * k, width))
        else:
            s.cut((pitch * k, 0), (pitch * k, width / 2))
    return s


def lace(rng: np.random.Generator) -> Sketch:
    """A panel with hexagonal holes far enough apart for what runs over."""
    side, pitch, n = rng.uniform(7, 10), rng.uniform(48, 60), 2
    s = Sketch("lace").ring((0, 0), (pitch * n, 0), (pitch * n, pitch * n), (0, pitch * n))
    turn = np.radians(np.arange(6) * 60)
    for i in range(n):
        for j in range(n):
            hexagon = side * np.column_stack((np.cos(turn), np.sin(turn))) + pitch * (np.array([i, j]) + 0.5)
            s.ring(*map(tuple, hexagon))
    return s


def parts(rng: np.random.Generator) -> Sketch:
    """One clean part of a random kind and size."""
    scale = rng.uniform(0.8, 1.3)
    kind = int(rng.integers(8))
    made = (
        lambda: tray(210 * scale, 150 * scale, 30 * scale),
        tuck_end,
        lambda: hex_prism(40 * scale, 90 * scale),
        lambda: ngon_tray(int(rng.integers(3, 7)), 60 * scale, 20 * scale),
        lambda: open_cube(40 * scale),
        lambda: frustum_net(4, 60 * scale, 40 * scale, 50 * scale),
        lambda: strip(rng),
        lambda: lace(rng) if rng.random() < 0.7 else swing_tag(),
    )
    return made[kind]()


def clean(rng: np.random.Generator) -> Hand:
    """Strokes of one to three parts side by side."""
    ends, operation, right = [], [], 0.0
    for _ in range(int(rng.integers(1, 4))):
        s = parts(rng)
        lines = [*s.cuts, *s.scores]
        low = np.vstack([np.array(line) for line in lines]).min(axis=0)
        shift = np.array([right, 0.0]) - low
        for k, line in enumerate(lines):
            for p, q in pairwise(np.array(line, float) + shift):
                ends.append((p, q))
                operation.append(CUT if k < len(s.cuts) else SCORE)
        right = max(float(max(p[0], q[0])) for p, q in ends) + 40.0
    return Hand(np.array(ends), np.array(operation))


def outlines_of(hand: Hand) -> list[shapely.Polygon]:
    """What the cuts bound, by GEOS: the outer boundaries of the parts."""
    cuts = [shapely.LineString(e) for e in hand.ends[hand.operation == CUT]]
    noded = shapely.union_all(cuts, grid_size=1e-6)
    faces = shapely.get_parts(shapely.polygonize([noded]))
    whole = shapely.get_parts(shapely.union_all([shapely.Polygon(f.exterior) for f in faces]))
    return [shapely.Polygon(p.exterior) for p in whole]


def _meeting(hand: Hand, spot: np.ndarray) -> list[tuple[int, int]]:
    far = np.hypot(*(hand.ends - spot).transpose(2, 0, 1))
    return [(int(k), int(side)) for k, side in zip(*np.nonzero(far < 1e-6), strict=True)]


def _leaves(hand: Hand, k: int, side: int, *, on: bool) -> np.ndarray:
    """Direction in which stroke k goes on beyond its end (or comes from there)."""
    step = hand.ends[k, side] - hand.ends[k, 1 - side]
    step = step / np.hypot(*step)
    return step if on else -step


def _corner(hand: Hand, k: int, side: int, *, fold: bool) -> bool:
    """Whether an end may be spoilt: a corner of just two cuts, or a score end on cuts alone."""
    spot = hand.ends[k, side]
    around = _meeting(hand, spot)
    kinds = [int(hand.operation[j]) for j, _ in around]
    if fold:
        return kinds.count(SCORE) == 1
    return len(around) == 2 and kinds == [CUT, CUT]


def run_over(hand: Hand, k: int, side: int, rng: np.random.Generator) -> bool:
    """Let one end run over; False when it would do more than that."""
    spot, length = hand.ends[k, side].copy(), float(rng.uniform(0.5, 12.0))
    ahead = _leaves(hand, k, side, on=True)
    for j, other in _meeting(hand, spot):
        away = _leaves(hand, j, other, on=False)
        if j != k and np.degrees(np.arccos(np.clip(ahead @ away, -1, 1))) < _CLEAR_ANGLE:
            return False
    tip = spot + ahead * length
    rest = [
        shapely.LineString(e)
        for j, e in enumerate(hand.ends)
        if j not in {i for i, _ in _meeting(hand, spot)}
    ]
    if shapely.distance(shapely.LineString([spot, tip]), shapely.union_all(rest)) < _CLEAR:
        return False
    hand.ends[k, side] = tip
    code = "cut-past-outline" if hand.operation[k] == CUT else "score-past-outline"
    hand.faults.append(Fault(code, tip, spot))
    return True


def stop_short(hand: Hand, k: int, side: int, rng: np.random.Generator) -> bool:
    """Let one end stop short."""
    length = float(np.hypot(*(hand.ends[k, 0] - hand.ends[k, 1])))
    if length < 6:
        return False
    spot, by = hand.ends[k, side].copy(), float(rng.uniform(0.15, 0.75))
    hand.ends[k, side] = spot - _leaves(hand, k, side, on=True) * by
    code = "gap" if hand.operation[k] == CUT else "score-short-of-outline"
    hand.faults.append(Fault(code, hand.ends[k, side].copy(), spot))
    return True


def handmade(seed: int, *, spoil: bool = True) -> tuple[Drawing, list[shapely.Polygon], list[Fault]]:
    """One drawing, its outlines, and what was done to it."""
    rng = np.random.default_rng(seed)
    hand = clean(rng)
    truth = outlines_of(hand)
    again: list[int] = []
    if spoil:
        for k in rng.permutation(len(hand.ends)).tolist()[: len(hand.ends)]:
            side = int(rng.integers(2))
            fold = bool(hand.operation[k] == SCORE)
            many = len(hand.faults) >= 4
            if many or hand.touched(hand.ends[k, side]) or not _corner(hand, k, side, fold=fold):
                continue
            spoilt = run_over if rng.random() < 0.5 else stop_short
            spoilt(hand, k, side, rng)
        for k in range(len(hand.ends)):
            # Doubled strokes that follow one another are one stretch, told once.
            near = any(hand.touched(p, 4.0) for p in hand.ends[k])
            near |= any(np.hypot(*(hand.ends[k] - p).T).min() < 1 for j in again for p in hand.ends[j])
            long = np.hypot(*(hand.ends[k, 0] - hand.ends[k, 1])) > 4
            if rng.random() < 0.1 and long and not near:
                again.append(k)
                hand.faults.append(Fault("doubled-line", hand.ends[k].mean(axis=0), hand.ends[k, 0]))
    return _drawn(hand, again, rng, truth)


def _drawn(
    hand: Hand, again: list[int], rng: np.random.Generator, truth: list[shapely.Polygon]
) -> tuple[Drawing, list[shapely.Polygon], list[Fault]]:
    strokes = []
    for k, (p, q) in enumerate(hand.ends):
        cuts = [p, q]
        if rng.random() < 0.3 and np.hypot(*(q - p)) > 12 and k not in again:
            cuts = [p, p + (q - p) * rng.uniform(0.4, 0.6), q]
        strokes += [(np.array(pair), int(hand.operation[k])) for pair in pairwise(cuts)]
    strokes += [(hand.ends[k], int(hand.operation[k])) for k in again]
    order = rng.permutation(len(strokes))
    turn = rng.uniform(0, 2 * np.pi)
    matrix = np.array([(np.cos(turn), -np.sin(turn)), (np.sin(turn), np.cos(turn))])
    points = [(strokes[k][0][:: 1 if rng.random() < 0.5 else -1]) @ matrix.T for k in order.tolist()]
    operation = [strokes[k][1] for k in order.tolist()]
    layers = (Element(layer="cut"), Element(layer="score"))
    source = [0 if code == CUT else 1 for code in operation]
    lines = Lines.of(points, operation=operation, source=source, elements=layers)
    turned = [shapely.transform(p, lambda xy: xy @ matrix.T) for p in truth]
    faults = [Fault(f.code, matrix @ f.xy, matrix @ f.also) for f in hand.faults]
    return Drawing("handmade", lines), turned, faults


def template_outlines(template: Template) -> list[shapely.Polygon]:
    """Outlines of the parts of a template, in its own coordinates."""
    return [shapely.Polygon(template.lines.points(part.outline)) for part in template.parts]


def views(drawing: Drawing) -> dict[str, list[shapely.Polygon]]:
    """The outlines of the parts as check, prepare, mend and fold see them."""
    plane = Plane(drawing.lines, LIMITS)
    found = plane.outlines
    depth = found.depth(np.array([p.representative_point().coords[0] for p in found.polygons]).reshape(-1, 2))
    left, bottom, _, _ = drawing.lines.bounds
    mended, _ = mend(drawing, LIMITS)
    low = mended.lines.bounds[:2]

    def back(template: Template, x: float, y: float) -> list[shapely.Polygon]:
        move = np.array([x, y])
        return [shapely.transform(p, lambda xy: xy + move) for p in template_outlines(template)]

    reports = fold(drawing, tolerance=LIMITS, faults=check(drawing, LIMITS))
    folded = []
    for report in reports:
        whole = shapely.union_all([shapely.Polygon(panel.outline) for panel in report.panels])
        folded += [shapely.Polygon(part.exterior) for part in shapely.get_parts(whole)]
    return {
        "check": [p for p, d in zip(found.polygons, depth, strict=True) if d % 2 == 1],
        "prepare": back(divide(drawing, LIMITS), left, bottom),
        "mend": back(divide(mended, LIMITS), *low),
        "fold": folded,
    }


def differences(drawing: Drawing, truth: list[shapely.Polygon], within: float) -> list[str]:
    """Where a room counts or bounds the parts otherwise than the truth."""
    told = []
    for room, found in views(drawing).items():
        if len(found) != len(truth):
            told.append(f"{room}: {len(found)} parts instead of {len(truth)}")
            continue
        for polygon in truth:
            apart = min(
                float(shapely.hausdorff_distance(polygon.exterior, p.exterior, densify=0.02)) for p in found
            )
            if apart > within:
                told.append(f"{room}: an outline is {apart:.3f} mm off")
    return told


def mistold(found: Findings, faults: list[Fault], within: float = 1.0) -> list[str]:
    """Faults that are not told just once under their code at their place, and findings of no fault."""
    left = [f for f in found if f.severity is not Severity.NOTE]
    told = []
    for fault in faults:
        hits = [
            f
            for f in left
            if f.code == fault.code
            and any(_near(fault, np.array(p.xy), within) for p in f.places if p.xy is not None)
        ]
        if len(hits) != 1:
            told.append(f"{fault.code} at {fault.xy.round(2)} told {len(hits)} times")
        left = [f for f in left if all(f is not h for h in hits)]
    return told + [f"invented {f.code}: {f.problem} {f.places[0].xy}" for f in left]


def _near(fault: Fault, spot: np.ndarray, within: float) -> bool:
    if fault.code == "doubled-line":
        a, b = fault.also, 2 * fault.xy - fault.also
        return bool(shapely.LineString([a, b]).distance(shapely.Point(spot)) <= within)
    return bool(min(np.hypot(*(fault.xy - spot)), np.hypot(*(fault.also - spot))) <= within)
