"""Ways found by zipping the outline: which panels are flaps, which sides meet, solved by least squares."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import chain, islice

import numpy as np

from cutprep.geometry.lines.segments import distance_to
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.work import WALKED
from cutprep.stages.fold.closing.zip.body import Body, convex, folded_body
from cutprep.stages.fold.closing.zip.gluings import FEW_STEPS, closed_zips
from cutprep.stages.fold.closing.zip.guesses import Guess, guesses, likely_flaps
from cutprep.stages.fold.closing.zip.outline import LOOKS, CornerRule, Outline, OutlineSide, outline_of
from cutprep.stages.fold.closing.zip.seams import ANY_CORNER, Zipped, zippings
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.declared.resolved import REACH, ResolvedDeclarations
from cutprep.stages.fold.net.part import HingedPart

#: Ways that are folded at most, the likeliest first; and with other looks at the outline.
_MOST_TRIED, _MOST_COARSE = 8, 3
#: Panels times ways that are tried at most with each look at the outline, so that it ends in time.
_EFFORT = 240
#: What counts against a way, in mm of seam error: a millimetre of open side, a flap that meets
#: nothing, a flap turned in on its own wall, what looks like a flap but is taken for a wall, a
#: rim that is not flat.
_OPEN_MM, _UNMET, _TURNED_IN, _FLAP_AS_BODY, _BENT_RIM = 0.02, 5.0, 4.0, 2.0, 5.0
#: What counts against every panel put aside as flap or gusset: of two bodies that close, the one
#: of more panels is meant. Small beside anything that stays open.
_ASIDE = 0.05
#: How far, at most, a bolder zip is put back behind the strict one of the same guess.
_BOLDER = 30.0
#: A way whose seams are this close is exact, mm; else so many good ones are looked at, and another is
#: taken when it is closer by this share.
_EXACT, _SECOND_LOOKS, _FAR_CLOSER = 0.01, 3, 0.1
#: Rims flatter than this are flat, mm.
RIM_FLAT = 1.0
#: A solid has so many faces; so many of the most even ways to close it are folded.
_LEAST_SOLID, _MOST_EVEN = 4, 4
#: So many of the most even ways are folded where flaps are left out.
_MOST_EVEN_REST = 1
#: A valley is shallow when its ends stand out by no more than this share of a panel's size; folds beyond
#: so many degrees turn inwards; so many at one corner push it in.
_SHALLOW, _INWARD, _PUSHED_IN = 0.15, 0.5, 3


_Key = tuple[Guess, tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]]


@dataclass(frozen=True, slots=True)
class _Way:
    """A guess with its zip: where it stands in the order, what counts against it, idle panels."""

    order: float
    outlook: float
    idle: int
    guess: Guess
    zipped: Zipped

    @property
    def key(self) -> _Key:
        """What makes two ways the same: the panels left out, the sides, and which of them meet."""
        sides = tuple(s.tips for s in self.zipped.outline.sides)
        return self.guess, sides, tuple((p.a, p.b) for p in self.zipped.pairs)


def strictly_zipped(part: HingedPart, constraints: FoldConstraints, seed: int) -> Body | None:
    """A solid of all panels, whose every side meets another as the outline is zipped; else None.

    Nothing is as sure, and it takes few searches: it goes before all other ways.
    """
    every = frozenset(range(len(part.panels)))
    if len(every) < _LEAST_SOLID:
        return None
    outline = outline_of(part, every, LOOKS[0])
    ways = chain(
        islice(closed_zips(outline, constraints.work), _MOST_EVEN),
        zippings(outline)[:1],
        # a tip of three triangles has no more card than a half turn
        islice(closed_zips(outline, constraints.work, ANY_CORNER, FEW_STEPS), _MOST_EVEN),
    )
    for zipped in ways:
        uneven = [abs(zipped.side(p.a).length - zipped.side(p.b).length) for p in zipped.pairs]
        if zipped.rims or max(uneven, default=0.0) > constraints.seam:
            continue
        body = folded_body(part, Guess(frozenset()), zipped, constraints, np.random.default_rng([seed, 0]))
        if is_good(body, constraints) or _creased(body, constraints):
            return body
    return None


def left_open(part: HingedPart, solid: Body, constraints: FoldConstraints, seed: int) -> Body | None:
    """The bowl that a net folds to as well as to a solid, whose sides round the rim happen to meet; None when there is none.

    A corner with no more card than a half turn need not be closed: where the corners that must be
    leave a convex body with a flat rim, nothing says that the sides round it are to meet.

    Parameters
    ----------
    part, solid
        The panels and hinges, and the solid that they fold to.
    constraints
        What the folds have to obey.
    seed
        Of the starts that are tried.
    """
    strict = zippings(solid.zipped.outline)[0]
    if not strict.rims or not strict.pairs:
        return None
    body = folded_body(part, solid.guess, strict, constraints, np.random.default_rng([seed, 0]))
    return body if is_good(body, constraints) and _differs(body, solid) else None


def _creased(body: Body, constraints: FoldConstraints) -> bool:
    """Whether a closed body is but for shallow valleys convex, as where pieces on two of its faces meet.

    No corner is pushed in: then the same sides would meet with that corner out, too.
    """
    if (
        body.gap > _EXACT
        or body.flat
        or body.concavity > _SHALLOW * body.size
        or wrong_folds(body, constraints)
    ):
        return False
    turned = body.seam_angles()
    return all(
        sum(turned.get(s, 0.0) < -_INWARD for s in fan.seams) < _PUSHED_IN for fan in body.zipped.cycles
    )


def zipped_body(
    part: HingedPart,
    constraints: FoldConstraints,
    resolved: ResolvedDeclarations,
    seed: int,
    closes: Callable[[Body], bool],
) -> tuple[Body | None, bool]:
    """Fold a part in the likeliest ways and keep the best.

    Parameters
    ----------
    part
        The panels and hinges.
    constraints, resolved
        What the folds have to obey, and which sides were declared to meet or to stay open.
    seed
        Of the starts that are tried.
    closes
        Whether flaps at the rim of a good body, that meet nothing, close its opening.

    Returns
    -------
    tuple of (Body or None, bool)
        The best body, or None when no sides were found to meet; and whether another, different
        way was as good.
    """
    found: list[tuple[tuple[bool, bool, bool, float], Body]] = []
    seen: set[_Key] = set()
    first: Body | None = (
        None  # good, but not exact: sides nearly as long as those that should meet close nearly as well
    )
    left = _SECOND_LOOKS
    for number, look in enumerate(LOOKS):
        ways = _likely_first(part, look, resolved, constraints, seen)
        most = int(np.clip(_EFFORT // len(part.panels), 1, _MOST_COARSE if number else _MOST_TRIED))
        for k, way in enumerate(ways[:most]):
            body = folded_body(part, way.guess, way.zipped, constraints, np.random.default_rng([seed, k]))
            found.append((_rank(body, way.outlook, constraints), body))
            met = is_good(body, constraints) and not way.idle
            if met and (_no_flap_unmet(part, body, resolved) or closes(body)):
                if first is None or body.gap < _FAR_CLOSER * first.gap:
                    first = body
                left -= 1
                if first.gap < _EXACT or not left:
                    return first, _rivalled(first, found, constraints)
        if first is not None:
            return first, _rivalled(first, found, constraints)
    if not found:
        return None, False
    best = min(found, key=lambda f: f[0])[1]
    return best, _rivalled(best, found, constraints)


def _rivalled(
    best: Body, found: Sequence[tuple[tuple[bool, bool, bool, float], Body]], constraints: FoldConstraints
) -> bool:
    """Whether a different way is as good as the one chosen."""
    rank = next(r for r, b in found if b is best)
    equal = [b for r, b in found if b is not best and is_good(b, constraints) and r[-1] - rank[-1] < 1.0]
    return any(_differs(b, best) for b in equal)


def _likely_first(
    part: HingedPart,
    look: CornerRule,
    resolved: ResolvedDeclarations,
    constraints: FoldConstraints,
    seen: set[_Key],
) -> list[_Way]:
    """Every way not seen before, the likeliest first; those where nothing meets come last."""
    likely = likely_flaps(part)
    ways = []
    for guess in guesses(part, resolved.roles):
        for way in _ways_of(part, guess, look, resolved, likely, constraints):
            if way.key not in seen:
                seen.add(way.key)
                ways.append(way)
    return sorted(ways, key=lambda w: (not w.zipped.pairs, w.order))


def _ways_of(
    part: HingedPart,
    guess: Guess,
    look: CornerRule,
    resolved: ResolvedDeclarations,
    likely: frozenset[int],
    constraints: FoldConstraints,
) -> list[_Way]:
    """Every zip of one guess; a bolder one is folded only after the strict one."""
    body = frozenset(range(len(part.panels))) - guess.flaps - guess.halves
    constraints.work.spend(WALKED * len(body))
    outline = outline_of(part, body, look)
    pairs, shut = _declared_sides(outline, resolved)
    if pairs is None:
        return []
    found: list[_Way] = []
    strict = 0.0
    all_told = len(constraints.fixed) == len(part.hinges)
    zips = zippings(outline, declared=pairs, shut=shut)
    if not (pairs or shut) and all(z.rims for z in zips):  # the largest corner first led astray
        zips += islice(closed_zips(outline, constraints.work, ANY_CORNER, FEW_STEPS), _MOST_EVEN_REST)
    # With every fold declared, only what has to meet is asked to.
    for k, zipped in enumerate(zips[:1] if all_told else zips):
        outlook = _outlook(part, guess, zipped, resolved, likely)
        order = outlook + _unevenness(zipped) + _ASIDE * (len(guess.flaps) + len(guess.halves))
        strict = strict if k else order
        if zipped.pairs or constraints.gathers or (constraints.fixed and not guess.flaps):
            idle = _idle(part, guess, zipped)
            found.append(
                _Way(max(order, min(strict, order + _BOLDER) + 0.1 * k), outlook, idle, guess, zipped)
            )
    return found


def is_good(body: Body, constraints: FoldConstraints) -> bool:
    """Whether a body closes, is convex, and folds as drawn."""
    return (
        body.gap <= constraints.seam
        and bool(body.zipped.pairs)
        and not body.flat
        and convex(body, constraints)
        and body.rim_bend <= RIM_FLAT
        and not wrong_folds(body, constraints)
    )


def _differs(a: Body, b: Body) -> bool:
    return abs(abs(a.volume) - abs(b.volume)) > 1e-2 * max(abs(a.volume), abs(b.volume))


def wrong_folds(body: Body, constraints: FoldConstraints) -> list[int]:
    """Hinges of a body that turn against their drawn direction."""
    hung = np.flatnonzero(body.tree.hinge >= 0)
    hinge = body.tree.hinge[hung]
    angle = np.degrees(body.radians[hung])
    against = (constraints.signs[hinge] * angle < -1.0) & ~np.isin(hinge, list(constraints.fixed))
    return [int(h) for h in hinge[against]]


def _rank(body: Body, outlook: float, constraints: FoldConstraints) -> tuple[bool, bool, bool, float]:
    """Order of preference: right folds, convex and not flat, then how much stays open or unmet.

    Gaps below a millimetre count alike: noise makes the wrong way fit better by chance.
    """
    refused = body.flat or not convex(body, constraints)
    bent = _BENT_RIM if body.rim_bend > RIM_FLAT else 0.0
    nothing = not body.zipped.pairs and not constraints.gathers
    return nothing, bool(wrong_folds(body, constraints)), refused, max(body.gap, 1.0) + outlook + bent


def _outlook(
    part: HingedPart, guess: Guess, zipped: Zipped, resolved: ResolvedDeclarations, likely: frozenset[int]
) -> float:
    """What counts against a way before it is folded."""
    unmet = turned = 0
    where = hung_on(zipped)
    met = {s for p in zipped.pairs for s in (p.a, p.b)}
    for flap in guess.flaps:
        if flap in resolved.targets:
            continue
        hinge = part.hinges_at(flap)[0]
        side = where.get(hinge)
        if side in met:
            continue
        turned += side is not None and turns_in(part, flap, hinge)
        unmet += side is None or not turns_in(part, flap, hinge)
    walls = len(likely - guess.flaps - guess.halves)
    unmet += _idle(part, guess, zipped)
    return _OPEN_MM * zipped.open_length + _UNMET * unmet + _TURNED_IN * turned + _FLAP_AS_BODY * walls


def _idle(part: HingedPart, guess: Guess, zipped: Zipped) -> int:
    """Count panels of the body that hang on one hinge and meet nothing: more likely flaps."""
    aside = guess.flaps | guess.halves
    hung = [p for h in part.hinges if not {h.a, h.b} & aside for p in (h.a, h.b)]
    meet = {zipped.side(k).panel for p in zipped.pairs for k in (p.a, p.b)}
    return sum(hung.count(p) == 1 and p not in meet for p in set(hung))


def _unevenness(zipped: Zipped) -> float:
    """How unequal the sides that meet are, mm.

    One wrong panel makes several seams uneven: the worst counts, the others little.
    """
    uneven = [abs(zipped.side(p.a).length - zipped.side(p.b).length) for p in zipped.pairs]
    return max(uneven, default=0.0) + 0.1 * sum(uneven)


def _no_flap_unmet(part: HingedPart, body: Body, resolved: ResolvedDeclarations) -> bool:
    where = hung_on(body.zipped)
    met = {s for p in body.zipped.pairs for s in (p.a, p.b)}
    return all(
        flap in resolved.targets or where.get(part.hinges_at(flap)[0]) in met for flap in body.guess.flaps
    )


def hung_on(zipped: Zipped) -> dict[int, int]:
    """Which side of the outline each flap's or gusset's hinge lies on."""
    return {h: k for k, side in enumerate(zipped.outline.sides) for h in side.hung}


def turns_in(part: HingedPart, flap: int, hinge: int) -> bool:
    """Whether a flap at a free rim may be turned in on its own wall: as long, and no deeper."""
    on = part.hinges[hinge].other(flap)
    ends = part.hinges[hinge].ends
    along = (ends[1] - ends[0]) / part.hinges[hinge].length
    across = np.array([-along[1], along[0]])
    depth, room = (np.abs((part.xy[list(part.rings[p])] - ends[0]) @ across).max() for p in (flap, on))
    span = np.ptp(part.xy[list(part.rings[on])] @ along)
    return bool(depth <= room + 1.0 and part.hinges[hinge].length > 0.7 * span)


def _declared_sides(
    outline: Outline, resolved: ResolvedDeclarations
) -> tuple[list[tuple[int, int]] | None, frozenset[int]]:
    """Number the declared sides on one outline; None when a declared mate is not on it."""
    pairs = []
    for a, b in resolved.mates:
        i, j = nearest_side(outline.sides, a), nearest_side(outline.sides, b)
        if i is None or j is None or i == j:
            return None, frozenset()
        pairs.append((i, j))
    found = (nearest_side(outline.sides, xy) for xy in resolved.opens)
    return pairs, frozenset(k for k in found if k is not None)


def nearest_side(sides: Sequence[OutlineSide], xy: Points) -> int | None:
    """The side nearest a point, (2,), or None when none is near."""
    far = distances(sides, xy)
    k = int(np.argmin(far))
    return k if far[k] <= REACH else None


def distances(sides: Sequence[OutlineSide], xy: Points) -> Points:
    """Distance of a point (2,) from each side, (n,), mm."""
    ends = np.array([side.ends for side in sides])
    return distance_to(xy[None], ends[:, 0], ends[:, 1])[0]
