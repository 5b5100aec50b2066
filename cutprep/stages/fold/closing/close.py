"""Close a part: the cheap ways first, then zipped seams; what wins is told with its roles."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutprep.stages.fold.closing.assemble import assembled, movable_hinges
from cutprep.stages.fold.closing.duties import AttachedPanel, hung_of
from cutprep.stages.fold.closing.lids import with_lids
from cutprep.stages.fold.closing.nearly import as_said, off_a_little
from cutprep.stages.fold.closing.verdict.contact import is_upright
from cutprep.stages.fold.closing.verdict.judge import Judged, judge
from cutprep.stages.fold.closing.verdict.state import FoldingFrame, all_angles, folded_by, frame_of
from cutprep.stages.fold.closing.ways.candidates import Candidate
from cutprep.stages.fold.closing.ways.fans import common_point
from cutprep.stages.fold.closing.ways.search import (
    Ranked,
    as_good,
    folds_less,
    reach_of,
    sound_ways,
    with_limbs,
    wound_walls,
)
from cutprep.stages.fold.closing.zip.body import Body, convex
from cutprep.stages.fold.closing.zip.solve import loose_angles
from cutprep.stages.fold.closing.zip.zips import is_good, left_open, strictly_zipped, zipped_body
from cutprep.stages.fold.closing.zip_flaps import hung_flaps, level_lids, pleat_folds
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.declared.resolved import ResolvedDeclarations
from cutprep.stages.fold.net.part import HingedPart

#: A cheap way with no more than this against it needs no zipped way beside it.
_CLEAR = 7.5
#: Areas that differ by less than this share are of panels that may be alike.
_CONGRUENT = 0.03
#: This share of the border rests on something where sides are said to meet.
_SEAMED = 0.12
#: Two panels of the shell lap where they share this much of the smaller one, as the ends of a band do.
_LAPPED = 0.1
#: Scores within 3 degrees are parallel (cosine).
_PARALLEL = 0.9986
#: A panel this share as wide as the wall it lies on is a wall, not a flap.
_AS_WIDE = 0.9
#: Sides that lie further from what they touch do not meet, mm; a zipped way that meets is closer by this share.
_MISFIT, _CLOSER = 0.25, 0.25
#: A ring of panels that can move has at least this many loose hinges.
_LEAST_LOOSE = 3


@dataclass(frozen=True, slots=True, eq=False)
class Closing:
    """How a part was closed.

    Attributes
    ----------
    family
        The family of ways it comes from.
    part
        What was folded.
    body
        The shell with its seams.
    degrees
        Fold angle of every hinge, degrees.
    hung
        The panels beside the shell.
    judged
        The verdict's figures, or None for a zipped way that the verdict does not call sound.
    loose
        Hinges that can still turn.
    extra
        Walls of a tube that lie on other walls of it.
    against
        What speaks against it.
    ambiguous
        Another, different way is as good.
    others
        Those ways.
    """

    family: str
    part: HingedPart
    body: Body
    degrees: dict[int, float]
    hung: tuple[AttachedPanel, ...]
    judged: Judged | None
    loose: frozenset[int]
    extra: tuple[int, ...] = ()
    against: float = 0.0
    ambiguous: bool = False
    others: tuple[Closing, ...] = ()

    @property
    def movable(self) -> bool:
        """Whether the shell's size is not fixed by its folds."""
        return len(self.loose) >= _LEAST_LOOSE

    @property
    def is_ring(self) -> bool:
        """Whether what can move is a row of panels closed to a ring: its scores are parallel or meet in a point."""
        hinges = self.part.hinges
        runs = [(hinges[k].ends[1] - hinges[k].ends[0]) / hinges[k].length for k in sorted(self.loose)]
        if all(abs(float(runs[0] @ run)) > _PARALLEL for run in runs):
            return True
        if common_point([hinges[k].ends for k in sorted(self.loose)]) is not None:
            return True
        ring = [
            k for k in sorted(self.loose) if min(self._hung_on(h) for h in (hinges[k].a, hinges[k].b)) > 1
        ]
        # End flaps are left out.
        runs = [(hinges[k].ends[1] - hinges[k].ends[0]) / hinges[k].length for k in ring]
        return bool(runs) and all(abs(float(runs[0] @ run)) > _PARALLEL for run in runs)

    def _hung_on(self, panel: int) -> int:
        return len(self.part.hinges_at(panel))

    @property
    def folded_over(self) -> bool:
        """Whether it lies flat, layer on layer."""
        return self.family == "flat"


def close(
    part: HingedPart, constraints: FoldConstraints, resolved: ResolvedDeclarations, seed: int
) -> Closing | None:
    """Find how a part folds up; None when no sides were found to meet.

    Parameters
    ----------
    part
        The panels and hinges.
    constraints
        What the folds have to obey.
    resolved
        What the maker declared about closing.
    seed
        Of the starts that are tried.
    """
    cheap, base = None, None
    frame = frame_of(part, work=constraints.work)
    if not resolved.says_something:
        solid = strictly_zipped(part, constraints, seed)
        if solid is not None and convex(solid, constraints):
            return _solid(part, constraints, resolved, solid, seed)
        if solid is not None:
            creased = _judged_as_zipped(frame, constraints, solid)
            if creased is not None:
                return creased
    if not (resolved.roles or resolved.mates or resolved.opens or resolved.gathers):
        ranked, base = sound_ways(frame, constraints)
        cheap = _best(part, constraints, ranked)
        clear = cheap is not None and cheap.against <= _CLEAR and _whole(cheap) and misfit(cheap) < _MISFIT
        if cheap is not None and clear and not _is_dented(cheap, constraints):
            return cheap

    lone = cheap is None or cheap.folded_over

    def closes(body: Body) -> bool:
        return lone and _lidded(frame, constraints, resolved, body) is not None

    body, ambiguous = zipped_body(part, constraints, resolved, seed, closes)
    lidded = _lidded(frame, constraints, resolved, body) if lone and body is not None else None
    if lidded is not None:
        return lidded
    zipped = None if body is None else _zipped(part, constraints, resolved, body, ambiguous=ambiguous)
    if cheap is None and resolved.fixed and not (zipped is not None and zipped.body.zipped.pairs):
        nearly = as_said(frame, constraints)
        if nearly is not None:
            told = _outcome(nearly, constraints)
            return replace(told, body=off_a_little(told.body, nearly.judged))
    if (
        zipped is not None
        and is_good(zipped.body, constraints)
        and not _coherent(zipped, reach_of(part, constraints))
    ):
        zipped = None
    good = zipped is not None and is_good(zipped.body, constraints) and not zipped.movable
    if zipped is not None and cheap is not None:
        good = good and not folds_less(frame, constraints, zipped.degrees, cheap.degrees)
    rounder = zipped is not None and cheap is not None and _is_rounder(zipped, cheap, constraints)
    if (
        zipped is not None
        and good
        and (rounder or _closes_more(zipped, cheap) or _fits_better(zipped, cheap, constraints))
    ):
        if base is None or resolved.fixed or all(f.target is not None for f in zipped.hung):
            return zipped
        limbs = _best(part, constraints, with_limbs(frame, constraints, base))
        more = limbs is not None and limbs.body.open_sides <= zipped.body.open_sides
        return limbs if limbs is not None and more else zipped
    folder = cheap is not None and cheap.folded_over and max(frame.depth) > 1
    if (cheap is None or folder) and base is not None and not resolved.fixed:
        cheap = _best(part, constraints, with_limbs(frame, constraints, base)) or cheap
    return cheap or zipped


def _solid(
    part: HingedPart, constraints: FoldConstraints, resolved: ResolvedDeclarations, solid: Body, seed: int
) -> Closing:
    """A solid; beside it the bowl that it may as well be."""
    bowl = left_open(part, solid, constraints, seed)
    told = _zipped(part, constraints, resolved, solid, ambiguous=bowl is not None)
    if bowl is None:
        return told
    return replace(told, others=(_zipped(part, constraints, resolved, bowl, ambiguous=False),))


def _lidded(
    frame: FoldingFrame, constraints: FoldConstraints, resolved: ResolvedDeclarations, body: Body
) -> Closing | None:
    """A good open body whose flaps at the rim close it when they are laid level over the opening; else None."""
    part = frame.part
    if resolved.says_something or not body.zipped.rims or not is_good(body, constraints):
        return None
    told = _zipped(part, constraints, resolved, body, ambiguous=False)
    folds = level_lids(part, body, told.hung)
    lids = {f.panel: f.hinge for f in told.hung if f.hinge in folds}
    closed = with_lids(frame, body, told.degrees | folds, lids, reach_of(part, constraints)) if lids else None
    if closed is None or told.movable or not convex(closed, constraints):
        return None
    hung = tuple(f for f in told.hung if f.panel not in lids)
    return replace(told, body=closed, degrees=told.degrees | folds, hung=hung)


def _judged_as_zipped(frame: FoldingFrame, constraints: FoldConstraints, body: Body) -> Closing | None:
    """A zipped body that is not convex, if the verdict calls it sound; else None."""
    degrees = np.zeros(len(frame.part.hinges))
    hung = np.flatnonzero(body.tree.hinge >= 0)
    degrees[body.tree.hinge[hung]] = np.degrees(body.radians[hung])
    judged = judge(folded_by(frame, degrees), reach_of(frame.part, constraints))
    return _outcome(Ranked(Candidate("zipped", degrees), judged, 0.0), constraints) if judged.sound else None


def _coherent(zipped: Closing, reach: float) -> bool:
    """Whether gussets put aside when a body was zipped find room: panels round a vertex stay together."""
    if not zipped.body.guess.pleats:
        return True
    angles = np.array([zipped.degrees.get(k, 0.0) for k in range(len(zipped.part.hinges))])
    return folded_by(frame_of(zipped.part), angles).closure_error <= reach


def misfit(outcome: Closing) -> float:
    """How far sides of the shell lie at most from what they touch edge to edge, mm."""
    judged = outcome.judged
    if judged is None or outcome.folded_over or outcome.movable or outcome.body.zipped.pairs:
        return 0.0  # seams that were found are closed exactly
    state, worst = judged.state, 0.0
    for panel in sorted(judged.shell.panels):
        for side in state.frame.sides[panel]:
            if side.hinge >= 0:
                continue
            u = (side.ends[1] - side.ends[0]) / side.length
            for other, stretches in judged.touching(side).items():
                if other not in judged.shell.panels or not is_upright(state, panel, other):
                    continue
                ends = np.array([side.ends[0] + t * u for stretch in stretches for t in stretch])
                away = state.lift(panel, ends) - state.shift[other]
                worst = max(worst, float(np.abs(away @ state.normal(other)).max()))
    return worst


def _fits_better(zipped: Closing | None, cheap: Closing | None, constraints: FoldConstraints) -> bool:
    """Whether a zipped way meets where the best cheap one only comes near, and puts nothing aside for that.

    What comes near has wider seams than the card lets pass, or is dented with a flap on nothing: a cup that leans little.
    """
    if zipped is None or cheap is None or any(f.target in {None, f.on} for f in zipped.hung):
        return False
    bad = misfit(cheap)
    if bad > _MISFIT and zipped.body.gap < _CLOSER * bad:
        return True
    loose = any(f.target is None for f in cheap.hung) and not convex(cheap.body, constraints)
    return cheap.body.gap > constraints.seam or (loose and bool(cheap.body.open_sides))


def _is_dented(outcome: Closing, constraints: FoldConstraints) -> bool:
    """Whether a closed shell is not convex: a slightly leaning box, say, that was taken for an upright one."""
    return not (
        outcome.folded_over or outcome.movable or outcome.body.open_sides or convex(outcome.body, constraints)
    )


def _is_rounder(zipped: Closing, cheap: Closing, constraints: FoldConstraints) -> bool:
    """Whether a zipped way closes to a convex shell, with all its flaps on something, where the cheap one is dented.

    Panels that are glued to a convex shell are glued so in one way only (Cauchy), and a dent is left to those for which
    there is none.
    """
    return (
        _is_dented(cheap, constraints)
        and convex(zipped.body, constraints)
        and not zipped.body.zipped.rims
        and zipped.body.gap < _MISFIT
        and all(f.target is not None for f in zipped.hung)
    )


def _closes_more(zipped: Closing | None, cheap: Closing | None) -> bool:
    """Whether a good zipped way goes before the best cheap one."""
    if zipped is None or cheap is None or cheap.folded_over or cheap.against > _CLEAR:
        return True
    met = all(f.target is not None for f in zipped.hung)
    if zipped.body.zipped.rims:
        openings = 0 if cheap.judged is None else len(cheap.judged.openings)
        return met and len(zipped.body.zipped.rims) < openings and not cheap.movable
    if cheap.body.open_sides or not zipped.hung:
        return True
    # What laps may as well stand up and meet.
    return met and zipped.body.gap < _MISFIT and cheap.judged is not None and cheap.judged.laps


def _whole(outcome: Closing) -> bool:
    """Whether no other way could close more."""
    if outcome.folded_over or outcome.body.open_sides:
        return outcome.movable
    return outcome.movable or not _doubled(outcome)


def _doubled(outcome: Closing) -> bool:
    """Whether panels of the shell overlap, or one beside it covers one in it: perhaps each has its own place."""
    judged = outcome.judged
    if judged is None:
        return False
    areas = judged.state.frame.part.areas
    return judged.laps or any(
        abs(areas[panel] - areas[q]) < _CONGRUENT * areas[q]
        for panel, under in judged.shell.layers.items()
        for q in under[:1]
    )


def _best(part: HingedPart, constraints: FoldConstraints, ranked: list[Ranked]) -> Closing | None:
    """The best sound way with its seams closed, beside it those as good."""
    if not ranked:
        return None
    found = [_outcome(r, constraints) for r in as_good(ranked)]
    said = len(constraints.fixed) == len(part.hinges)
    reach = reach_of(part, constraints)
    found = [f for f in found if f.folded_over or ((said or _seamed(f)) and f.body.gap <= reach)]
    if not found:
        return None
    first, others = found[0], tuple(found[1:])
    if first.movable:  # of a ring that can move only an example is shown
        others = ()
    return replace(first, others=others, ambiguous=bool(others))


def _seamed(outcome: Closing) -> bool:
    """Whether sides meet: two as long, or enough of the border rests on something."""
    judged = outcome.judged
    if outcome.body.zipped.pairs or judged is None:
        return True
    if judged.seam_length > _SEAMED * judged.border:
        return True
    areas, flush, shell = judged.state.frame.part.areas, judged.contacts.flush, judged.shell.panels
    return any(
        g.area > _LAPPED * min(areas[p], areas[q]) for p in shell for q, g in flush[p].items() if q in shell
    )


def _outcome(ranked: Ranked, constraints: FoldConstraints) -> Closing:
    body, judged = assembled(ranked.judged, constraints)
    angles = dict(enumerate(all_angles(judged.state).tolist()))
    loose = frozenset(movable_hinges(body, judged))
    flat = ranked.way.family == "flat"
    extra = () if flat else tuple(wound_walls(judged.state.frame, judged, _AS_WIDE))
    return Closing(
        ranked.way.family,
        judged.state.frame.part,
        body,
        angles,
        hung_of(judged),
        judged,
        loose,
        extra,
        ranked.against,
    )


def _zipped(
    part: HingedPart,
    constraints: FoldConstraints,
    resolved: ResolvedDeclarations,
    body: Body,
    *,
    ambiguous: bool,
) -> Closing:
    hung = hung_flaps(part, body, resolved)
    turned = {int(k): float(np.degrees(body.radians[p])) for p, k in enumerate(body.tree.hinge) if k >= 0}
    degrees = (
        turned
        | {f.hinge: f.angle for f in hung}
        | pleat_folds(part, body, constraints)
        | dict(constraints.fixed)
    )
    loose = loose_angles(body.tree, body.meetings, body.radians, body.free, body.size)
    hinges = frozenset(int(k) for k in body.tree.hinge[body.free[loose]])
    return Closing("zipped", part, body, degrees, hung, None, hinges, (), 0.0, ambiguous)
