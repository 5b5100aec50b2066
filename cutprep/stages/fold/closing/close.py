"""Close a part: the cheap ways first, then zipped seams; what wins is told with its roles."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutprep.stages.fold.closing.assemble import assembled, movable_hinges
from cutprep.stages.fold.closing.body import Body
from cutprep.stages.fold.closing.duties import Hung, hung_of
from cutprep.stages.fold.closing.search import Ranked, Work, best_of, reach_of, wound_walls
from cutprep.stages.fold.closing.solve import loose_angles
from cutprep.stages.fold.closing.state import all_angles
from cutprep.stages.fold.closing.verdict import Judged
from cutprep.stages.fold.closing.wish import Wish
from cutprep.stages.fold.closing.zip_flaps import hung_flaps, pleat_folds
from cutprep.stages.fold.closing.zips import is_good, zipped_body
from cutprep.stages.fold.part import Part
from cutprep.stages.fold.settled import Settled

#: A cheap way with no more than this against it needs no zipped way beside it.
_CLEAR = 7.5
#: A ring of panels that can move has at least this many loose hinges.
_LEAST_LOOSE = 3


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """How a part was closed.

    Attributes
    ----------
    family
        The family of ways it comes from.
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
    ambiguous
        Another, different way is as good.
    others
        Those ways.
    """

    family: str
    body: Body
    degrees: dict[int, float]
    hung: tuple[Hung, ...]
    judged: Judged | None
    loose: frozenset[int]
    extra: tuple[int, ...] = ()
    ambiguous: bool = False
    others: tuple[Outcome, ...] = ()

    @property
    def movable(self) -> bool:
        """Whether the shell's size is not fixed by its folds."""
        return len(self.loose) >= _LEAST_LOOSE

    @property
    def folded_over(self) -> bool:
        """Whether it lies flat, layer on layer."""
        return self.family == "flat"


def close(part: Part, wish: Wish, settled: Settled, seed: int) -> Outcome | None:
    """Find how a part folds up; None when no sides were found to meet."""
    cheap = None
    if not (settled.roles or settled.mates or settled.opens or settled.gathers):
        cheap = _cheapest(part, wish, Work())
        if cheap is not None and cheap[1] <= _CLEAR:
            return cheap[0]
    body, ambiguous = zipped_body(part, wish, settled, seed)
    if cheap is not None and (body is None or not is_good(body, wish)):
        return cheap[0]
    return None if body is None else _zipped(part, wish, settled, body, ambiguous=ambiguous)


def _cheapest(part: Part, wish: Wish, work: Work) -> tuple[Outcome, float] | None:
    best, rivals = best_of(part, wish, work)
    if best is None:
        return None
    found = [_outcome(r, wish) for r in (best, *rivals)]
    found = [
        f for f in found if f.folded_over or (f.body.zipped.pairs and f.body.gap <= reach_of(part, wish))
    ]
    if not found:
        return None
    first, others = found[0], tuple(found[1:])
    return replace(first, others=others, ambiguous=bool(others)), best.against


def _outcome(ranked: Ranked, wish: Wish) -> Outcome:
    body, judged = assembled(ranked.judged, wish)
    angles = dict(enumerate(all_angles(judged.state).tolist()))
    loose = frozenset(movable_hinges(body, judged))
    flat = ranked.way.family == "flat"
    extra = () if flat else tuple(wound_walls(judged.state.frame, judged))
    return Outcome(ranked.way.family, body, angles, hung_of(judged), judged, loose, extra)


def _zipped(part: Part, wish: Wish, settled: Settled, body: Body, *, ambiguous: bool) -> Outcome:
    hung = hung_flaps(part, body, settled)
    turned = {int(k): float(np.degrees(body.radians[p])) for p, k in enumerate(body.tree.hinge) if k >= 0}
    degrees = turned | {f.hinge: f.angle for f in hung} | pleat_folds(part, body, wish) | dict(settled.fixed)
    loose = loose_angles(body.tree, body.meetings, body.radians, body.free, body.size)
    hinges = frozenset(int(k) for k in body.tree.hinge[body.free[loose]])
    return Outcome("zipped", body, degrees, hung, None, hinges, (), ambiguous)
