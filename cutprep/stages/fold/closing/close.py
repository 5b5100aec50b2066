"""Close a part: the cheap ways first, then zipped seams; what wins is told with its roles."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutprep.stages.fold.closing.assemble import assembled, movable_hinges
from cutprep.stages.fold.closing.duties import Hung, hung_of
from cutprep.stages.fold.closing.verdict.judge import Judged, judge
from cutprep.stages.fold.closing.verdict.state import all_angles, folded_by, frame_of
from cutprep.stages.fold.closing.ways.candidates import signed
from cutprep.stages.fold.closing.ways.fans import common_point
from cutprep.stages.fold.closing.ways.search import (
    Ranked,
    as_good,
    reach_of,
    sound_ways,
    with_limbs,
    wound_walls,
)
from cutprep.stages.fold.closing.zip.body import Body
from cutprep.stages.fold.closing.zip.solve import loose_angles
from cutprep.stages.fold.closing.zip.zips import is_good, strictly_zipped, zipped_body
from cutprep.stages.fold.closing.zip_flaps import hung_flaps, pleat_folds
from cutprep.stages.fold.declared.settled import Settled
from cutprep.stages.fold.declared.wish import Wish
from cutprep.stages.fold.net.part import Part

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
#: A ring of panels that can move has at least this many loose hinges.
_LEAST_LOOSE = 3


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
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
    part: Part
    body: Body
    degrees: dict[int, float]
    hung: tuple[Hung, ...]
    judged: Judged | None
    loose: frozenset[int]
    extra: tuple[int, ...] = ()
    against: float = 0.0
    ambiguous: bool = False
    others: tuple[Outcome, ...] = ()

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
        return common_point([hinges[k].ends for k in sorted(self.loose)]) is not None

    @property
    def folded_over(self) -> bool:
        """Whether it lies flat, layer on layer."""
        return self.family == "flat"


def close(part: Part, wish: Wish, settled: Settled, seed: int) -> Outcome | None:
    """Find how a part folds up; None when no sides were found to meet."""
    cheap, base = None, None
    frame = frame_of(part, work=wish.work)
    if not settled.says_something:
        solid = strictly_zipped(part, wish, seed)
        if solid is not None:
            return _zipped(part, wish, settled, solid, ambiguous=False)
    if not (settled.roles or settled.mates or settled.opens or settled.gathers):
        ranked, base = sound_ways(frame, wish)
        cheap = _best(part, wish, ranked)
        if cheap is not None and cheap.against <= _CLEAR and _whole(cheap):
            return cheap
    body, ambiguous = zipped_body(part, wish, settled, seed)
    zipped = None if body is None else _zipped(part, wish, settled, body, ambiguous=ambiguous)
    if zipped is not None and is_good(zipped.body, wish) and not _coherent(zipped, reach_of(part, wish)):
        zipped = None
    good = zipped is not None and is_good(zipped.body, wish) and not zipped.movable
    if good and _closes_more(zipped, cheap):
        return zipped
    if cheap is None and base is not None and not settled.fixed:
        cheap = _best(part, wish, with_limbs(frame, wish, base))
    return cheap or zipped


def _coherent(zipped: Outcome, reach: float) -> bool:
    """Whether gussets put aside when a body was zipped find room: panels round a vertex stay together."""
    if not zipped.body.guess.pleats:
        return True
    angles = np.array([zipped.degrees.get(k, 0.0) for k in range(len(zipped.part.hinges))])
    return folded_by(frame_of(zipped.part), angles).strain <= reach


def _closes_more(zipped: Outcome | None, cheap: Outcome | None) -> bool:
    """Whether a good zipped way goes before the best cheap one."""
    if zipped is None or cheap is None or cheap.folded_over or cheap.against > _CLEAR:
        return True
    if zipped.body.zipped.rims:
        return False
    return bool(cheap.body.open_sides) or not zipped.hung


def _whole(outcome: Outcome) -> bool:
    """Whether no other way could close more."""
    if outcome.folded_over or outcome.body.open_sides:
        return outcome.movable
    return outcome.movable or not _doubled(outcome)


def _doubled(outcome: Outcome) -> bool:
    """Whether panels of the shell overlap, or one beside it covers one in it: perhaps each has its own place."""
    judged = outcome.judged
    if judged is None:
        return False
    areas = judged.state.frame.part.areas
    flush, shell = judged.contacts.flush, judged.shell.panels
    if any(g.area > _CONGRUENT * areas[p] for p in shell for q, g in flush[p].items() if q in shell):
        return True
    return any(
        abs(areas[panel] - areas[q]) < _CONGRUENT * areas[q]
        for panel, under in judged.shell.layers.items()
        for q in under[:1]
    )


def touches_nothing(part: Part, wish: Wish) -> bool:
    """Whether no two panels come together when every score is folded square: a card, not a box."""
    frame = frame_of(part, work=wish.work)
    judged = judge(folded_by(frame, signed(wish, np.full(len(part.hinges), 90.0))), reach_of(part, wish))
    touching = any(judged.touching(s) for sides in frame.sides for s in sides if s.hinge < 0)
    return not touching and not judged.contacts.crossing


def _best(part: Part, wish: Wish, ranked: list[Ranked]) -> Outcome | None:
    """The best sound way with its seams closed, beside it those as good."""
    if not ranked:
        return None
    found = [_outcome(r, wish) for r in as_good(ranked)]
    found = [f for f in found if f.folded_over or (_seamed(f) and f.body.gap <= reach_of(part, wish))]
    if not found:
        return None
    first, others = found[0], tuple(found[1:])
    if first.movable:  # of a ring that can move only an example is shown
        others = ()
    return replace(first, others=others, ambiguous=bool(others))


def _seamed(outcome: Outcome) -> bool:
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


def _outcome(ranked: Ranked, wish: Wish) -> Outcome:
    body, judged = assembled(ranked.judged, wish)
    angles = dict(enumerate(all_angles(judged.state).tolist()))
    loose = frozenset(movable_hinges(body, judged))
    flat = ranked.way.family == "flat"
    extra = () if flat else tuple(wound_walls(judged.state.frame, judged, _AS_WIDE))
    return Outcome(
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


def _zipped(part: Part, wish: Wish, settled: Settled, body: Body, *, ambiguous: bool) -> Outcome:
    hung = hung_flaps(part, body, settled)
    turned = {int(k): float(np.degrees(body.radians[p])) for p, k in enumerate(body.tree.hinge) if k >= 0}
    degrees = turned | {f.hinge: f.angle for f in hung} | pleat_folds(part, body, wish) | dict(wish.fixed)
    loose = loose_angles(body.tree, body.meetings, body.radians, body.free, body.size)
    hinges = frozenset(int(k) for k in body.tree.hinge[body.free[loose]])
    return Outcome("zipped", part, body, degrees, hung, None, hinges, (), 0.0, ambiguous)
