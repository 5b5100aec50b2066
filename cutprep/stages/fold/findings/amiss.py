"""What is forgotten or too much in a part, read off its folded state.

A seam without a flap where others have one, a seam with two, a score of which a part is cut, a
side on which a wall is missing: the part may close all the same, so nothing else tells of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations, pairwise

import numpy as np
import shapely

from cutprep.errors import Place
from cutprep.model.duties import Duty
from cutprep.model.findings.entry import Severity
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.folded import Flap, FoldReport, Hinge, Mate, Role, Verdict
from cutprep.model.lines import Points
from cutprep.stages.fold.findings.walls import uneven_walls

#: Lines nearer than this, and as good as parallel, are one, mm.
_ON = 0.5
#: Seams whose lengths differ by less than this share are of one sort.
_ALIKE = 0.02
#: Up to this share of the seams of one sort may be without a flap by mistake.
_FEW = 1 / 3
#: More bare seams than this are meant so: the part is held by tape, or by nothing.
_MOST_BARE = 3
#: A cut that takes more than this share of a score's line, and more mm, is no slit for a lock.
_CUT_SHARE, _CUT_LEAST = 0.25, 8.0
#: A fold beyond this lays a panel on its neighbour, degrees.
_BACK = 170.0
#: A panel between two scores that is narrower than this is a score drawn twice, mm.
_SLIVER = 1.5
#: A flap that is turned in on a free rim, and is narrower than this, was meant for glue, mm.
_GLUE = 15.0

At = Callable[[Sequence[float]], Place]


def amiss(report: FoldReport, at: At) -> Findings:
    """Tell what is forgotten or too much in a folded part."""
    found = [*_part_cut(report, at), *_slivers(report, at)]
    if report.closes and report.flaps:
        found += [*_bare_seams(report, at), *_double_flaps(report, at)]
    return (*found, *_missing_walls(report, at), *uneven_walls(report, at))


def _bare_seams(report: FoldReport, at: At) -> Iterator[Finding]:
    """Seams that no flap holds, where others of their sort, or shorter ones, have one."""
    opens = {f.on for f in report.flaps if f.duty is Duty.TUCK_FLAP}
    # What lies on two panels holds them together: a fin, or a flap over a butted seam.
    bridged = {frozenset(pair) for f in report.flaps for pair in combinations(f.lies_on, 2)}
    # What is folded back on its neighbour, as half a gusset is, is held there.
    back = {p for h in report.hinges if abs(h.angle) > _BACK for p in (h.a, h.b)}
    seams = [
        m
        for m in report.mates
        if not {m.panel_a, m.panel_b} & opens
        and frozenset((m.panel_a, m.panel_b)) not in bridged
        and not {m.panel_a, m.panel_b} & back
        and all(report.panels[p].role is Role.BODY for p in (m.panel_a, m.panel_b))
    ]
    held = [any(_flaps_at(report, m)) for m in seams]
    bare = []
    lengths = np.array([_length(m) for m in seams])
    for seam, has, size in zip(seams, held, lengths.tolist(), strict=True):
        alike = np.array(held)[np.abs(lengths / size - 1) < _ALIKE]
        if not has and (size > (1 - _ALIKE) * lengths.max() or (~alike).sum() <= _FEW * len(alike)):
            bare.append(seam)
    for seam in bare if len(bare) <= _MOST_BARE else ():
        names = f"{report.panels[seam.panel_a].name} and {report.panels[seam.panel_b].name}"
        yield Finding.of(
            "flap-forgotten",
            f"no glue flap holds the seam of panels {names} ({_length(seam):.1f} mm), while other seams have one",
            places=(at(seam.side_a.mean(axis=0)), at(seam.side_b.mean(axis=0))),
            measure=_length(seam),
            severity=Severity.WARNING if len(bare) == 1 else Severity.NOTE,
        )


def _length(seam: Mate) -> float:
    return float(np.hypot(*(seam.side_a[1] - seam.side_a[0])))


def _flaps_at(report: FoldReport, seam: Mate) -> tuple[list[Flap], list[Flap]]:
    """Flaps on either side of a seam."""
    one = [f for f in report.flaps if f.on == seam.panel_a and _hangs_on(report, f, seam.side_a)]
    two = [f for f in report.flaps if f.on == seam.panel_b and _hangs_on(report, f, seam.side_b)]
    return one, two


def _hangs_on(report: FoldReport, flap: Flap, side: Points) -> bool:
    """Whether a flap's score lies on a side."""
    hinge = _hinge_of(report, flap)
    return hinge is not None and bool(
        shapely.distance(shapely.LineString(side).buffer(_ON), shapely.points(hinge.ends)).max() <= 0.0
        or shapely.LineString(side).buffer(_ON).contains(shapely.Point(hinge.ends.mean(axis=0)))
    )


def _hinge_of(report: FoldReport, flap: Flap) -> Hinge | None:
    return next((h for h in report.hinges if {h.a, h.b} == {flap.panel, flap.on}), None)


def _double_flaps(report: FoldReport, at: At) -> Iterator[Finding]:
    """Seams with a glue flap on both sides."""
    for seam in report.mates:
        one, two = ([f for f in side if f.duty is Duty.GLUE_FLAP] for side in _flaps_at(report, seam))
        if one and two:
            a, b = report.panels[one[0].panel], report.panels[two[0].panel]
            yield Finding.of(
                "flap-twice",
                f"flaps {a.name} and {b.name} are both for the seam of panels {report.panels[seam.panel_a].name} "
                f"and {report.panels[seam.panel_b].name}: one of them is too many",
                places=(at(a.inner_point), at(b.inner_point)),
            )


def _part_cut(report: FoldReport, at: At) -> Iterator[Finding]:
    """Scores that go on as a cut between the same two panels."""
    for hinge in report.hinges:
        if hinge.kind != "straight":
            continue
        spans = _common(report.panels[hinge.a].outline, report.panels[hinge.b].outline, hinge)
        shared = float(sum(high - low for low, high in spans))
        cut = shared - hinge.joined
        if cut < max(_CUT_LEAST, _CUT_SHARE * shared) or _locked(report, hinge, spans):
            continue
        unit = (hinge.ends[1] - hinge.ends[0]) / hinge.length
        beyond = [s for s in (spans[0][0], spans[-1][1] - hinge.length) if abs(s) > _ON] or [0.0]
        far = max(beyond, key=abs)
        middle = hinge.ends[0] + unit * (far / 2 if far < 0 else hinge.length + far / 2)
        yield Finding.of(
            "score-part-cut",
            f"of the {shared:.1f} mm that panels {report.panels[hinge.a].name} and {report.panels[hinge.b].name} share, "
            f"only {hinge.joined:.1f} mm are scored; the rest is cut",
            places=(at(middle),),
            measure=cut,
            limit=_CUT_SHARE * shared,
        )


def _locked(report: FoldReport, hinge: Hinge, spans: Sequence[tuple[float, float]]) -> bool:
    """Whether the cuts are slits at both ends of a tuck flap's fold, in which dust flaps catch."""
    tucked = any(f.duty is Duty.TUCK_FLAP and f.panel in (hinge.a, hinge.b) for f in report.flaps)
    before, after = -spans[0][0], spans[-1][1] - hinge.length
    return tucked and min(before, after) > _ON and abs(before - after) < _ON


def _common(one: Points, two: Points, hinge: Hinge) -> list[tuple[float, float]]:
    """Stretches of a hinge's line on which both panels have their side, mm from its first end."""
    unit = (hinge.ends[1] - hinge.ends[0]) / hinge.length
    across = np.array([-unit[1], unit[0]])

    def runs(outline: Points) -> list[tuple[float, float]]:
        away, along = (outline - hinge.ends[0]) @ across, (outline - hinge.ends[0]) @ unit
        on = (np.abs(away[:-1]) < _ON / 2) & (np.abs(away[1:]) < _ON / 2)
        return sorted((float(min(p)), float(max(p))) for p in zip(along[:-1][on], along[1:][on], strict=True))

    both = [(max(a, c), min(b, d)) for a, b in runs(one) for c, d in runs(two) if min(b, d) - max(a, c) > _ON]
    return sorted(both)


def _slivers(report: FoldReport, at: At) -> Iterator[Finding]:
    """Panels so narrow between two scores that one of these was drawn by mistake."""
    for k, panel in enumerate(report.panels):
        shape = shapely.Polygon(panel.outline)
        width = 2 * shape.area / shape.length
        scores = [h for h in report.hinges if k in {h.a, h.b} and h.joined > shape.length / 4]
        if width < _SLIVER and len(scores) > 1 and panel.duty is not Duty.TURNED_WALL:
            yield Finding.of(
                "panel-narrow",
                f"panel {panel.name} is only {width:.1f} mm wide between two scores",
                places=(at(panel.inner_point),),
                measure=width,
                limit=_SLIVER,
            )


def _missing_walls(report: FoldReport, at: At) -> Iterator[Finding]:
    """Sides on which a wall is missing: glue flaps that meet nothing, or one bare side of a base."""
    if report.verdict not in {Verdict.OPEN_EDGES, Verdict.OPEN_BOX, Verdict.UNEVEN}:
        return
    stray = [f for f in report.flaps if f.target in {None, f.on} and _for_glue(report, f)]
    for flap in stray:
        panel, on = report.panels[flap.panel], report.panels[flap.on]
        yield Finding.of(
            "wall-missing",
            f"flap {panel.name} on panel {on.name} looks as if meant for glue, but no wall is there to glue it to",
            places=(at(panel.inner_point),),
        )
    if report.verdict is Verdict.OPEN_EDGES and not stray:
        yield from _bare_side(report, at)


def _for_glue(report: FoldReport, flap: Flap) -> bool:
    """Whether a flap is low and narrows at both ends, as glue flaps do."""
    hinge = _hinge_of(report, flap)
    if hinge is None or not 0 < flap.depth <= _GLUE:
        return False
    outline = report.panels[flap.panel].outline[:-1]
    unit = (hinge.ends[1] - hinge.ends[0]) / hinge.length
    away = np.abs((outline - hinge.ends[0]) @ np.array([-unit[1], unit[0]]))
    tip = (outline[away > 0.9 * away.max()] - hinge.ends[0]) @ unit
    return bool(tip.min() > 1.0 and tip.max() < hinge.length - 1.0)


def _bare_side(report: FoldReport, at: At) -> Iterator[Finding]:
    """The one side of the base that carries nothing while every other side does."""
    base = report.panels[report.base]
    ring = shapely.get_coordinates(shapely.LinearRing(base.outline).simplify(_ON))
    taken = [h.ends for h in report.hinges if report.base in {h.a, h.b}]
    taken += [
        s for m in report.mates for p, s in ((m.panel_a, m.side_a), (m.panel_b, m.side_b)) if p == report.base
    ]
    free = [
        (p, q)
        for p, q in pairwise(ring)
        if not any(
            shapely.LineString([p, q]).buffer(_ON).contains(shapely.Point(t.mean(axis=0))) for t in taken
        )
    ]
    if len(free) == 1 and len(ring) > 4:
        p, q = free[0]
        yield Finding.of(
            "wall-missing",
            f"a wall is missing on panel {base.name}: nothing hangs on its side of {np.hypot(*(q - p)):.1f} mm, while every other side has something",
            places=(at((p + q) / 2),),
        )
