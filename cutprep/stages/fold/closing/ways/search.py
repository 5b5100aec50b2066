"""Try ways of folding, the cheap ones first, and rank what was judged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np
import shapely

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.contact import area_of
from cutprep.stages.fold.closing.verdict.judge import Judged, judge
from cutprep.stages.fold.closing.verdict.state import FoldingFrame, folded_by
from cutprep.stages.fold.closing.ways.bases import base_ways
from cutprep.stages.fold.closing.ways.candidates import Candidate, flat_ways, hemmed, plain_ways
from cutprep.stages.fold.closing.ways.corners import corner_ways
from cutprep.stages.fold.closing.ways.fans import fan_ways, fans_of
from cutprep.stages.fold.closing.ways.handles import handled
from cutprep.stages.fold.closing.ways.limbs import limb_ways
from cutprep.stages.fold.closing.ways.ribs import ribbed
from cutprep.stages.fold.closing.ways.slanting import left_flat
from cutprep.stages.fold.closing.ways.staves import stave_ways
from cutprep.stages.fold.closing.ways.tubes import rows_of, tube_ways
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.net.part import HingedPart

#: Units of work that turning limbs may take; then the part is told as it is without.
_LIMB_WORK = 800.0
#: Volumes that differ by less than this share are the same body.
_SAME = 0.01
#: Distance at which edges of a way that was not solved exactly count as touching, mm.
_LOOSE = 1.0
#: One layer of card as a share of that distance in thick card, and what drawings are rounded by, mm.
_LAYER, _ROUNDED = 0.5, 0.05
#: What ranks below by less than this is as good.
_AS_GOOD = 0.5
#: What is folded over covers at least this share of the panel below; else it stands.
_COVERS = 0.6
#: Ways whose angles differ by less are one, degrees.
_ALIKE = 0.02
#: A row of more panels than this is no row of walls turned in.
_LONG_ROW = 12
#: Limbs are turned only where no more than this share of the panels is astray.
_FEW = 0.4
#: Rounds of turning limbs, and panels of a part up to which that is tried.
_ROUNDS, _MOST_LIMBS = 3, 40
#: What a wall that lies on another of its row speaks against a way; of so many more a ring is wound twice.
_WOUND, _MOST_WOUND = 1.5, 1
#: What speaks against folding all over onto one panel: what stands as well is meant to stand.
_FLAT = 5.0
#: A leaf of a folder covers this share of the other; or it, as an envelope's back, and all that is folded over together.
_LEAF = 0.9
_BACK, _LEAVES = 0.75, 0.95
#: A folder has no more leaves round one point.
_MOST_LEAVES = 4
#: What is folded over reaches no further than this beyond the panel below, mm.
_BEYOND = 3.0
#: What speaks against square folds where scores converge: the gap may be small, but it is there.
_NOT_FANNED = 1.5
#: What speaks against leaving a score flat: it was drawn to be folded.
_UNFOLDED = 2.0
#: What a panel that rises above what it meets counts.
_RISING = 0.75
#: What an open border counts, as a whole; and an all square way with no more than that is not rivalled.
_OPEN, _SQUARE = 4.0, 5.0


#: What speaks against a way that is sound only within the reach of thick card: more than a clear way may have.
_INEXACT = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class Ranked:
    """A judged way and what speaks against it: the less the better."""

    way: Candidate
    judged: Judged
    against: float


def reach_of(part: HingedPart, constraints: FoldConstraints) -> float:
    """Distance within which edges touch, mm."""
    return max(_LOOSE, constraints.seam, 2.0 * part.tolerance)


def sound_ways(frame: FoldingFrame, constraints: FoldConstraints) -> tuple[list[Ranked], Ranked | None]:
    """Judge the cheap families; give the sound ways, the best first, and the one that leaves least open."""
    found: list[Ranked] = []
    base: Ranked | None = None
    for ranked in _judged(frame, constraints, _cheap(frame, constraints)):
        if (constraints.signs * ranked.way.degrees < -1.0).any():
            continue
        flat = ranked.way.family == "flat"
        sound = ranked.judged.sound and ranked.judged.flat == flat and (not flat or _covers(ranked.judged))
        if sound and len(wound_walls(frame, ranked.judged)) <= _MOST_WOUND:
            exact = _meets_exactly(frame, ranked)
            found.append(ranked if exact else replace(ranked, against=ranked.against + _INEXACT))
            if exact and _clear(frame, ranked):
                break
        if flat:
            continue
        if base is None or ranked.judged.cost < base.judged.cost - _AS_GOOD:
            base = ranked
    return sorted(found, key=lambda r: r.against), base


def _meets_exactly(frame: FoldingFrame, ranked: Ranked) -> bool:
    """Whether a way is sound without the reach that thick card gives: a flap lies a caliper inside its wall, no more.

    Within 2 mm a narrow tab of a five-sided box seems to lie on its wall at 90 degrees as well as at 72.
    """
    exact = max(_LOOSE, _LAYER * ranked.judged.limit) + _ROUNDED
    return ranked.judged.limit <= exact or judge(folded_by(frame, ranked.way.degrees), exact).sound


def _clear(frame: FoldingFrame, ranked: Ranked) -> bool:
    """Whether no other cheap way can be better: all square, or closed by its end panels, nothing wound."""
    if wound_walls(frame, ranked.judged) or ranked.against > _SQUARE or ranked.way.odd:
        return False
    closed = ranked.way.family == "capped" and not ranked.judged.openings
    return ranked.way.family == "square" or closed


def with_limbs(frame: FoldingFrame, constraints: FoldConstraints, base: Ranked) -> list[Ranked]:
    """Turn the limbs that the best way leaves unexplained, as long as that explains more."""
    count = len(frame.part.panels)
    judged = base.judged
    astray = {p for a, b, _ in judged.contacts.crossing for p in (a, b)} | {
        *judged.unexplained,
        *judged.loners,
    }
    if count > _MOST_LIMBS or len(astray) > _FEW * count or judged.state.closure_error > judged.limit:
        return []
    most = frame.work.used + _LIMB_WORK
    for _ in range(_ROUNDS):
        best = base
        for ranked in _judged(frame, constraints, limb_ways(frame, constraints, base.judged)):
            if frame.work.used > most:
                return []
            judged = ranked.judged
            if judged.flat or judged.cost >= best.judged.cost - _AS_GOOD:
                continue
            best = ranked
            if judged.sound:
                return [ranked]
        if best is base:
            break
        base = best
    return []


def _cheap(frame: FoldingFrame, constraints: FoldConstraints) -> Iterator[Candidate]:
    rows = rows_of(frame)
    if rows and len(rows[0].panels) > _LONG_ROW:
        yield from tube_ways(frame, constraints)
        if constraints.fixed.keys() >= set(rows[0].hinges):  # its section is drawn: no end panel need tell it
            yield from plain_ways(frame, constraints)
        return
    fans = list(fan_ways(frame, constraints))
    plain = plain_ways(frame, constraints)
    if fans:
        plain = (replace(way, odd=way.odd + _NOT_FANNED) for way in plain)
    for more in (left_flat, handled, ribbed):
        plain = more(frame, constraints, plain)
    upright = chain(plain, base_ways(frame, constraints), tube_ways(frame, constraints))
    yield from hemmed(frame, constraints, upright)
    yield from stave_ways(frame, constraints)
    yield from fans
    yield from hemmed(frame, constraints, corner_ways(frame, constraints))
    if not any(len(fan.panels) > _MOST_LEAVES for fan in fans_of(frame)):  # a cone, not a folder
        yield from flat_ways(frame, constraints)


def _judged(frame: FoldingFrame, constraints: FoldConstraints, ways: Iterable[Candidate]) -> Iterator[Ranked]:
    seen: list[np.ndarray[tuple[int], np.dtype[np.float64]]] = []
    for way in ways:
        if any(np.abs(way.degrees - s).max(initial=0.0) < _ALIKE for s in seen):
            continue
        seen.append(way.degrees)
        judged = judge(folded_by(frame, way.degrees), reach_of(frame.part, constraints))
        lying = _FLAT if way.family == "flat" else 0.0
        yield Ranked(way, judged, against(frame, constraints, judged) + way.odd + lying)


def against(frame: FoldingFrame, constraints: FoldConstraints, judged: Judged) -> float:
    """What speaks against a sound way.

    Folds against their drawn direction; a score that is not folded; ledges that half close an opening; walls wound twice
    round a tube; panels that rise beyond what they meet; every different fold angle; and how much of the border stays open.
    """
    degrees = judged.state.degrees
    drawn = float((constraints.signs * degrees < -1.0).sum())
    angles = len(set(np.round(np.abs(degrees) / 2.0).tolist()))
    open_ = _OPEN * judged.open_length / max(judged.border, 1.0)
    wound = len(wound_walls(frame, judged))
    rising = sum(not len(r.corners) for r in judged.rims)
    unfolded = _UNFOLDED * _leaves_flat(frame, constraints, degrees)
    return (
        10.0 * drawn + 3.0 * _ledges(judged) + _WOUND * wound + _RISING * rising + angles + open_ + unfolded
    )


def _leaves_flat(frame: FoldingFrame, constraints: FoldConstraints, degrees: Points) -> bool:
    """Whether a score that lies by itself in its line is not folded, though nobody said so."""
    flat = {
        frame.lines[k] for k in np.flatnonzero(np.abs(degrees) < 1.0).tolist() if k not in constraints.fixed
    }
    return any(frame.lines.count(line) == 1 for line in flat)


def folds_less(
    frame: FoldingFrame, constraints: FoldConstraints, one: Mapping[int, float], other: Mapping[int, float]
) -> bool:
    """Whether one way leaves such a score flat and another folds all.

    Parameters
    ----------
    one, other
        Fold angle by hinge, degrees.
    """
    hinges = range(len(frame.part.hinges))
    first, second = (np.array([way.get(k, np.nan) for k in hinges]) for way in (one, other))
    return _leaves_flat(frame, constraints, first) and not _leaves_flat(frame, constraints, second)


def wound_walls(frame: FoldingFrame, judged: Judged, share: float = 0.6) -> list[int]:
    """Walls of a row that lie on others of it, a full turn further on, and wider than a share of them."""
    found = []
    for row in rows_of(frame)[:3]:
        position = {p: k for k, p in enumerate(row.panels)}
        flaps = {row.panels[end] for end in (0, -1) if row.tapered[end]}
        for panel, under in judged.shell.layers.items():
            if panel not in position or panel in frame.cornered or panel in flaps:
                continue  # a fin or a gusset is no wall, nor is what narrows away from the row
            for other in under:
                if other not in position:
                    continue
                a, b = sorted((position[panel], position[other]))
                turned = abs(sum(judged.state.degrees[k] for k in row.hinges[a:b]))
                wide = row.widths[position[panel]] > share * row.widths[position[other]]
                if turned > 300.0 and wide:
                    found.append(panel)
                    break
    return found


def _covers(judged: Judged) -> bool:
    """Whether panels folded over cover most of the one they are folded on."""
    (base,) = judged.shell.panels if len(judged.shell.panels) == 1 else (-1,)
    shared = judged.contacts.flush.get(base, {})
    state = judged.state
    if max(state.frame.depth) > 1:  # a folder closes on one panel, with all that hangs on its leaves
        room = state.frame.shapes[base].buffer(_BEYOND) if base >= 0 else shapely.Polygon()
        part = state.frame.part
        leaves = (
            {part.hinges[k].other(base) for k in part.hinges_at(base)} & set(shared) if base >= 0 else set()
        )
        covered = [shared[q].area / part.areas[base] for q in leaves]
        closed = (
            max(covered, default=0.0) > _BACK and area_of(list(shared.values())) > _LEAVES * part.areas[base]
        )
        if not closed and not any(c > _LEAF for c in covered):
            return False
        if not all(room.covers(shapely.MultiPoint(state.lower(base, xyz))) for xyz in state.corners):
            return False
    return bool(shared) and area_of(list(shared.values())) > _COVERS * judged.state.frame.shapes[base].area


def _ledges(judged: Judged) -> int:
    """Panels that lie in the plane of an opening and leave it half open."""
    count = 0
    for rim in judged.rims:
        if len(rim.corners) < 3:
            continue
        centre = rim.corners.mean(axis=0)
        normal = np.linalg.svd(rim.corners - centre)[2][-1]
        for panel in {s.panel for s, _ in rim.stretches} - judged.state.frame.rims:
            if np.abs((judged.state.corners[panel] - centre) @ normal).max() < judged.limit:
                count += 1
    return count


def as_good(ranked: list[Ranked]) -> list[Ranked]:
    """The best of some sound ways, and those as good that give another body."""
    best = ranked[0]
    return [best] + [
        r for r in ranked[1:] if r.against - best.against < _AS_GOOD and _differs(r.judged, best.judged)
    ]


def _differs(a: Judged, b: Judged) -> bool:
    return abs(abs(a.volume) - abs(b.volume)) > _SAME * max(abs(a.volume), abs(b.volume))
