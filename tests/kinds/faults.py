"""Planted faults, each with the place where it must be named.

A fault counts as named when a finding that the sound template doesn't have lies at its place:
within 2 mm of the line, corner or panel that is wrong. Findings about the whole ("does not
close") don't count: they would be found at any place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.job.api import check
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding
from cutprep.model.operation import Operation
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.kinds.cartons import tube
from tests.kinds.draw import XY, Manner, Net, Stroke, drawn
from tests.kinds.sound import (
    SIDE,
    TALL,
    A,
    D,
    H,
    L,
    T,
    W,
    X,
    carton,
    hexagon,
    no_wall,
    rim_flap,
    slip,
    slip_bare,
    square_tray,
    tray,
    two_flaps,
    webbed,
    wrong_lid,
)
from tests.kinds.trays import corners, cross

#: Findings about the whole, which name no place, and two that follow from many a fault.
WHOLE = frozenset(
    {
        "does-not-close", "open-edges", "cannot-infer", "dented", "not-solved", "size", "not-held",
        "flap-turned-in", "thin-strip",
    }
)  # fmt: skip
#: How far from its place a fault may be named, mm.
NEAR = 2.0

Strokes = list[Stroke]


@dataclass(frozen=True)
class Fault:
    """A fault, the sound strokes beside it, and where it lies."""

    name: str
    bad: Callable[[], Strokes]
    good: Callable[[], Strokes]
    place: BaseGeometry
    whole: bool = False


def line(*points: XY) -> BaseGeometry:
    return shapely.LineString(points)


def point(x: float, y: float) -> BaseGeometry:
    return shapely.Point(x, y)


def area(x0: float, y0: float, x1: float, y1: float) -> BaseGeometry:
    return shapely.box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


# --- what is done to the strokes of a template ------------------------------------------------


def split(net: Net) -> Strokes:
    return net.strokes(join=False)


def _is(stroke: Stroke, p: XY, q: XY) -> bool:
    ends = stroke.points[[0, -1]]
    want = np.array([p, q], float)
    return bool(min(np.abs(ends - want).max(), np.abs(ends - want[::-1]).max()) < 1e-6)


def without(strokes: Strokes, p: XY, q: XY) -> Strokes:
    left = [s for s in strokes if not _is(s, p, q)]
    assert len(left) == len(strokes) - 1, (p, q)
    return left


def instead(strokes: Strokes, p: XY, q: XY, *new: tuple[Operation, Sequence[XY]]) -> Strokes:
    return [*without(strokes, p, q), *(Stroke(np.array(xy, float), o) for o, xy in new)]


def plus(strokes: Strokes, operation: Operation, *points: XY, fold: int = 0) -> Strokes:
    return [*strokes, Stroke(np.array(points, float), operation, fold)]


def along(p: XY, q: XY, t: float) -> XY:
    return (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]))


CUT, SCORE = Operation.CUT, Operation.SCORE


def of(
    net: Callable[[], Net], change: Callable[[Strokes], Strokes]
) -> tuple[Callable[[], Strokes], Callable[[], Strokes]]:
    return (lambda: change(split(net())), lambda: split(net()))


def nets(
    bad: Callable[[], Net], good: Callable[[], Net]
) -> tuple[Callable[[], Strokes], Callable[[], Strokes]]:
    return (lambda: split(bad()), lambda: split(good()))


def on_lines() -> Iterator[Fault]:
    """Faults of single lines."""
    wall: tuple[XY, XY] = ((0.0, 0.0), (L, 0.0))
    flap: tuple[XY, XY] = ((0.0, -H), (0.0, 0.0))
    top: tuple[XY, XY] = ((0.0, T), (A, T))
    side: tuple[XY, XY] = ((A, 0.0), (A, T))
    edge: tuple[XY, XY] = ((SIDE, 0.0), (SIDE, TALL))
    end: tuple[XY, XY] = ((2 * SIDE, TALL), (3 * SIDE, TALL))
    bases = {"tray": tray, "carton": carton, "hexagonal box": hexagon}
    spots = (("tray", flap), ("carton", top), ("hexagonal box", edge))
    for name, (p, q) in spots:
        size = float(np.hypot(q[0] - p[0], q[1] - p[1]))
        near = along(p, q, 1.2 / size)
        yield Fault(
            f"{name}: score 1.2 mm short of the cut",
            *of(bases[name], lambda s, p=p, q=q, near=near: instead(s, p, q, (SCORE, (near, q)))),
            line(p, near),
        )
        past = along(p, q, -2.0 / size)
        yield Fault(
            f"{name}: score 2 mm past the outline",
            *of(bases[name], lambda s, q=q, p=p, past=past: instead(s, p, q, (SCORE, (past, q)))),
            line(p, past),
        )
    for name, (p, q) in (("tray", wall), ("carton", top), ("hexagonal box", end)):
        half = along(p, q, 0.5)
        aside = (half[0] + 0.0, half[1] + 4.0)
        third = along(p, q, 0.35)
        base = bases[name]
        yield Fault(
            f"{name}: score also drawn as a cut",
            *of(base, lambda s, p=p, q=q: plus(s, CUT, p, q)),
            line(p, q),
        )
        yield Fault(
            f"{name}: half a score also drawn as a cut",
            *of(base, lambda s, p=p, h=half: plus(s, CUT, p, h)),
            line(p, half),
        )
        yield Fault(
            f"{name}: half a score on the cut layer",
            *of(base, lambda s, p=p, q=q, h=half: instead(s, p, q, (CUT, (p, h)), (SCORE, (h, q)))),
            line(p, half),
        )
        yield Fault(
            f"{name}: a score on the cut layer",
            *of(base, lambda s, p=p, q=q: instead(s, p, q, (CUT, (p, q)))),
            line(p, q).buffer(45.0),
        )
        yield Fault(
            f"{name}: cut across a score",
            *of(base, lambda s, t=third: plus(s, CUT, (t[0], t[1] - 5), (t[0], t[1] + 5))),
            line((third[0], third[1] - 5), (third[0], third[1] + 5)),
        )
        yield Fault(f"{name}: a score missing", *of(base, lambda s, p=p, q=q: without(s, p, q)), line(p, q))
        yield Fault(
            f"{name}: bent score",
            *of(base, lambda s, p=p, q=q, m=aside: instead(s, p, q, (SCORE, (p, m, q)))),
            shapely.Polygon([p, aside, q]),
        )
    twins = ((0.3, "tray", wall), (0.5, "carton", side), (0.8, "hexagonal box", edge), (1.0, "tray", wall))
    for off, name, (p, q) in twins:
        d = (off, 0.0) if p[0] == q[0] else (0.0, off)
        a, b = along((p[0] + d[0], p[1] + d[1]), (q[0] + d[0], q[1] + d[1]), 0.0), (q[0] + d[0], q[1] + d[1])
        yield Fault(
            f"{name}: second score {off} mm beside",
            *of(bases[name], lambda s, a=a, b=b: plus(s, SCORE, a, b)),
            line(p, q),
        )
    yield Fault(
        "carton: a score missing between two walls", *of(carton, lambda s: without(s, *side)), line(*side)
    )
    yield Fault(
        "tray: a score drawn as mountain and as valley",
        *of(
            tray,
            lambda s: plus(plus(without(s, *wall), SCORE, *wall, fold=1), SCORE, *wall, fold=-1),
        ),
        line(*wall),
    )
    yield Fault(
        "tray: all lines on the cut layer",
        *of(tray, lambda s: [replace(x, operation=CUT) for x in s]),
        area(-H, -H, L + H, W + H),
        whole=True,
    )
    rim: tuple[XY, XY] = ((0.0, -H), (L, -H))
    yield Fault(
        "tray: outline open by 1 mm",
        *of(tray, lambda s: instead(s, *rim, (CUT, ((0, -H), (70, -H))), (CUT, ((71, -H), (L, -H))))),
        line((70, -H), (71, -H)),
    )
    last: tuple[XY, XY] = ((X[4], 0.0), (X[4], T))
    yield Fault(
        "carton: outline open by 3 mm",
        *of(
            carton,
            lambda s: instead(s, *last, (CUT, ((X[4], 0), (X[4], 40))), (CUT, ((X[4], 43), (X[4], T)))),
        ),
        line((X[4], 40), (X[4], 43)),
    )


def on_sizes() -> Iterator[Fault]:
    """Panels of a wrong size, flaps that don't serve."""
    yield Fault(
        "tray: a wall 2 mm too high", *nets(lambda: tray(far=H + 2), tray), area(-H, W, L + H, W + H + 2)
    )
    yield Fault(
        "tray: a wall 2 mm too low, square tabs",
        *nets(lambda: square_tray(H - 2), square_tray),
        area(-H, -H, 0, W + H),
    )
    yield Fault(
        "carton: lid 3 mm short", *nets(lambda: carton(upper=D - 3), carton), area(0, T, A, T + D + 14)
    )
    yield Fault(
        "carton: lid 3 mm long", *nets(lambda: carton(upper=D + 3), carton), area(0, T, A, T + D + 17)
    )
    yield Fault(
        "carton: a wall 3 mm too wide",
        *nets(lambda: carton(last=D + 3), carton),
        area(X[3], -20, X[4] + 3, T + 20).union(area(X[1], 0, X[2], T)),
    )
    yield Fault(
        "hexagonal box: a wall 2 mm too narrow",
        *nets(lambda: hexagon(narrow=2.0), hexagon),
        area(4 * SIDE, -8, 5 * SIDE, TALL + 8),
    )
    yield Fault(
        "hexagonal box: ends too large by a twentieth",
        *nets(lambda: hexagon(cap=1.05 * SIDE), hexagon),
        area(SIDE, TALL, 4 * SIDE, 2 * TALL).union(area(SIDE, -TALL, 4 * SIDE, 0)),
    )
    yield Fault("tray: a flap 4 mm deep", *nets(lambda: tray(deep={0: 4.0}), tray), area(-4, -H, 0, 0))
    yield Fault(
        "tray: a flap longer than the wall under it",
        *nets(lambda: tray(deep={0: 100.0}), tray),
        area(-100, -H, 0, 0),
    )
    yield Fault(
        "tray: opposite flaps overlap",
        *nets(lambda: tray(deep={0: 57.0, 3: 57.0}), tray),
        area(-57, -H, 0, 0).union(area(-57, W, 0, W + H)),
    )
    yield Fault(
        "carton: dust flaps overlap",
        *nets(lambda: carton(dusts=35.0), carton),
        area(A, T, X[2], T + 35)
        .union(area(X[3], T, X[4], T + 35))
        .union(area(A, 0, X[2], -35))
        .union(area(X[3], 0, X[4], -35)),
    )
    yield Fault(
        "webbed tray: a corner score 8 mm off", *nets(lambda: webbed(8.0), webbed), area(L, W, L + H, W + H)
    )


def on_parts() -> Iterator[Fault]:
    """Flaps and walls that are forgotten, too many, or in the wrong place."""
    seam = line((0, 0), (0, T)).union(line((X[4], 0), (X[4], T)))
    hex_seam = line((0, 0), (0, TALL)).union(line((6 * SIDE, 0), (6 * SIDE, TALL)))
    corner = line((0, 0), (0, -H)).union(line((0, 0), (-H, 0)))
    yield Fault("tray: a glue flap forgotten", *nets(lambda: tray(skip=(0,)), tray), corner)
    yield Fault("carton: glue flap forgotten", *nets(lambda: carton(glue=0.0), carton), seam)
    yield Fault("hexagonal box: glue flap forgotten", *nets(lambda: hexagon(glue=0.0), hexagon), hex_seam)
    yield Fault(
        "slipcase: a glue flap forgotten",
        *nets(slip_bare, slip),
        line((0, 130), (80, 130)).union(line((100, 110), (180, 110))),
    )
    yield Fault(
        "carton: glue flap on a wall's end",
        *nets(lambda: carton(glue=0.0).flap((X[2], T), (X[3], T), 10.0, 3.0), carton),
        seam.union(area(X[2], T, X[3], T + 10)),
    )
    yield Fault("tray: glue flap on a rim", *nets(rim_flap, tray), corner.union(area(-H - 14, 0, -H, W)))
    yield Fault(
        "carton: glue flap at both ends",
        *nets(lambda: carton().flap((X[4], T), (X[4], 0), 10.0, 3.0), carton),
        area(X[4], 0, X[4] + 10, T).union(area(-10, 0, 0, T)),
    )
    yield Fault(
        "hexagonal box: glue flap at both ends",
        *nets(lambda: hexagon().flap((0, 0), (0, TALL), 9.0, 3.0), hexagon),
        area(-9, 0, 0, TALL).union(area(6 * SIDE, 0, 6 * SIDE + 9, TALL)),
    )
    yield Fault("tray: flaps on both sides of a corner", *nets(two_flaps, tray), area(-H, -H, 0, 0))
    yield Fault(
        "carton: five walls for four",
        *nets(lambda: carton(walls=(A, D, A, D, A)), carton),
        area(X[3], -20, X[4] + A, T + 20).union(area(-10, 0, A, T)),
    )
    yield Fault(
        "hexagonal box: seven walls for six",
        *nets(lambda: hexagon(7), hexagon),
        area(5 * SIDE, -10, 7 * SIDE + 9, TALL + 10).union(area(0, -10, SIDE, TALL + 10)),
    )
    yield Fault("tray: a wall missing", *nets(no_wall, tray), line((0, 0), (0, W)))
    yield Fault(
        "carton: a wall missing",
        *nets(lambda: carton(walls=(A, D, A)), carton),
        line((X[3], 0), (X[3], T)).union(area(-10, 0, 0, T)),
    )
    yield Fault(
        "hexagonal box: a wall missing",
        *nets(lambda: hexagon(5), hexagon),
        area(5 * SIDE - 2, 0, 5 * SIDE + 9, TALL).union(area(0, 0, 2, TALL)),
    )
    yield Fault(
        "carton: lid on the wrong wall",
        *nets(wrong_lid, carton),
        area(X[1], T, X[2], T + D + 14).union(line((0, T), (A, T))).union(line((X[2], T), (X[3], T))),
    )
    gap = ((-4.0, 40.0), (5.0, 40.0), (5.0, 55.0), (-4.0, 55.0))
    yield Fault(
        "carton: a window across the glue flap's score",
        *of(carton, lambda s: plus(s, CUT, *gap, gap[0])),
        area(-4, 40, 5, 55),
    )
    hole = ((-6.0, -20.0), (6.0, -20.0), (6.0, -10.0), (-6.0, -10.0))
    yield Fault(
        "tray: a window across a glue flap's score",
        *of(tray, lambda s: plus(s, CUT, *hole, hole[0])),
        area(-6, -20, 6, -10),
    )


def on_pieces() -> Iterator[Fault]:
    """Pieces that don't fit, or lie on one another in the drawing."""
    right = L + 2 * H + 40

    def with_lid(extra: float) -> Net:
        net, top = tray(), cross(L + extra, W + extra, 15.0)
        for x, y, sx, sy in corners(L + extra, W + extra):
            p, q = (x, y), (x, y + sy * 15.0)
            top.flap(*((p, q) if sx * sy < 0 else (q, p)), 12.0, 2.0)
        moved = top.shifted(right, 0)
        return Net(net.panels + moved.panels, net.roles + moved.roles)

    lid_area = area(right - 20, -20, right + L + 20, W + 20)
    yield Fault(
        "tray and lid: lid 2 mm smaller than its base",
        *nets(lambda: with_lid(-2.0), lambda: with_lid(2.0)),
        lid_area.union(area(-H, -H, L + H, W + H)),
    )

    def with_sleeve(play: float) -> Net:
        net = tray()
        outer = tube((W + play, H + play, W + play, H + play), L).shifted(right, 0)
        return Net(net.panels + outer.panels, net.roles + outer.roles)

    yield Fault(
        "drawer and sleeve: sleeve 2 mm smaller",
        *nets(lambda: with_sleeve(-2.0), lambda: with_sleeve(2.0)),
        area(right - 20, -20, right + 2 * (W + H) + 20, L + 20).union(area(-H, -H, L + H, W + H)),
    )

    def with_tag(dx: float) -> Strokes:
        ring = ((dx, 20.0), (dx + 40, 20.0), (dx + 40, 90.0), (dx, 90.0))
        return plus(split(tray()), CUT, *ring, ring[0])

    yield Fault(
        "tray and tag: the tag lies over a wall",
        lambda: with_tag(L + H - 15),
        lambda: with_tag(L + H + 15),
        area(L + H - 15, 20, L + H, 90),
    )


def all_faults() -> list[Fault]:
    """Every planted fault."""
    return [*on_lines(), *on_sizes(), *on_parts(), *on_pieces()]


def findings_of(strokes: Strokes, seed: int) -> list[Finding]:
    """What checking and folding say of a drawing."""
    drawing: Drawing = drawn(strokes, Manner(), np.random.default_rng(seed), "template")
    checked = check(drawing)
    found = list(checked)
    for report in fold(drawing, tolerance=Tolerance(), faults=checked):
        found += report.messages
    return found


def said_of(strokes: Strokes, seed: int) -> set[tuple[str, object]]:
    """What is said of a sound template, and where."""
    return {(m.code, _spot(p)) for m in findings_of(strokes, seed) for p in m.places}


def named_by(fault: Fault, seed: int, before: set[tuple[str, object]] | None = None) -> tuple[str, list[str]]:
    """The code that names a fault at its place, or ""; and every new code.

    Parameters
    ----------
    before
        What is said of the sound template; found out when None.
    """
    before = said_of(fault.good(), seed) if before is None else before
    codes, other = [], []
    for finding in findings_of(fault.bad(), seed):
        fresh = [p for p in finding.places if (finding.code, _spot(p)) not in before]
        if not fresh and finding.places:
            continue
        other.append(finding.code)
        at = [p.xy for p in fresh if p.xy is not None]
        if finding.code in WHOLE and not fault.whole:
            continue
        if any(shapely.distance(fault.place, shapely.Point(xy)) <= NEAR for xy in at):
            codes.append(finding.code)
    return (codes[0] if codes else ""), sorted(set(other))


def _spot(place: object) -> tuple[float, float] | None:
    xy = getattr(place, "xy", None)
    return None if xy is None else (round(xy[0], 0), round(xy[1], 0))


def table(seed: int) -> Iterator[str]:
    """A row a fault: named at its place, and all that is said anew."""
    yield "| fault | named at its place | all that is said |"
    yield "|---|---|---|"
    named, faults = 0, all_faults()
    for fault in faults:
        code, said = named_by(fault, seed)
        named += bool(code)
        yield f"| {fault.name} | {code or 'MISSED'} | {', '.join(said)} |"
    yield ""
    yield f"{named} of {len(faults)} named at their place"
