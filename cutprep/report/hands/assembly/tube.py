"""Steps of a piece that goes round: its seam, the end that is closed first, filling, the other end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import shapely

from cutprep.model.duties import Duty
from cutprep.model.folded import Flap
from cutprep.report.hands.assembly.tops import gather_steps, ridge_steps
from cutprep.report.hands.assembly.tube_parts import End, Tube, seam_flaps
from cutprep.report.hands.assembly.way import AssemblyWay, Beside, Do, lit_of, many, not_glued

#: Share of the folds in the picture of a seam that is about to be glued.
_NEARLY = 0.82
#: A wall that reaches over another one is longer by less than so many calipers.
_LAYERS = 3.0
#: More panels than this that close an end one over the other are taken as a ring of alike ones.
_RING = 2


def tube_steps(way: AssemblyWay, tube: Tube) -> None:
    """Add the steps of a tube."""
    _hems(way, [f for end in tube.ends for f in end.hems])
    if tube.within:
        way.fold_flaps(tube.within)
        feet = [f for f in tube.within if f.duty is Duty.FOOT]
        glued = f" and glue {way.onto(feet, 'wall')}" if feet else ""
        way.say(
            Do.GLUE if feet else Do.FOLD,
            f"Fold partition {way.name(*lit_of(tube.within))} over on the inside{glued}.",
            lit_of(tube.within),
        )
    _seam(way, tube)
    tabs = [f for end in tube.ends for f in end.tabs]
    if tabs:
        way.fold_flaps(tabs)
        way.say(
            Do.FOLD,
            f"Fold {way.named('tab', lit_of(tabs))} in square: nothing of this piece lies on them, so they hold what is glued "
            "there.",
            lit_of(tabs),
        )
    if tube.pointed:
        _pointed(way, tube)
        return
    base, lid = base_and_lid(tube.ends)
    if base.open and lid.open:
        if tabs:
            return
        # Of several pieces the last step says what goes into which.
        over = " and slide it over what it goes round" if way.beside is Beside.NOTHING else ""
        way.say(Do.FOLD, f"It stays open at both ends: open it out square{over}.", tube.walls)
        return
    if not base.open:
        if base.tucks_in:
            _tuck_in(way, base, "the lower end" if not lid.open else "the end")
        else:
            _glue_base(way, base)
    if lid.open:
        return
    if not base.open:
        way.say_fill()
    if lid.roof:
        ridge_steps(way, tube, lid)
    elif lid.gussets:
        gather_steps(way, lid)
    else:
        _tuck_in(way, lid, "the lid")


def _hems(way: AssemblyWay, hems: Sequence[Flap]) -> None:
    """Glue the hems while it all still lies flat."""
    if not hems:
        return
    way.fold_all(lit_of(hems))
    way.say(
        Do.GLUE,
        f"Fold {way.named('hem', lit_of(hems))} over onto the {many('wall', len(hems))} and glue "
        f"{'it' if len(hems) == 1 else 'them'} flat, while the card lies open.",
        lit_of(hems),
    )


def _pointed(way: AssemblyWay, tube: Tube) -> None:
    """The walls shut one end by themselves, at their point; what closes the other comes last."""
    end = max(tube.ends, key=lambda e: len(e.covers))
    if end.covers or end.dust:
        way.say_fill()
        _tuck_in(way, end, "the base")
    elif not any(e.tabs for e in tube.ends):
        way.say(Do.FOLD, "It stays open at its wide end: open it out.", tube.walls)


def _seam(way: AssemblyWay, tube: Tube) -> None:
    """Bring the walls round and join them."""
    walls, seam = tube.walls, tube.seam
    around = list(_between(way, walls))
    way.fold(around)
    if seam is None or seam.target is None:
        tips = (walls[0], walls[-1])
        way.say(
            Do.TAPE,
            f"Bring walls {way.name(*walls)} round until {way.name(*tips)} meet edge to edge, and tape that seam from "
            "inside: it has no glue flap.",
            tips,
        )
        return
    joined = seam_flaps(way.hung, walls, seam)
    way.fold_flaps(f for f in way.hung.lying if f.panel in joined)
    # The picture shows the seam a moment before it meets, so that the flap is seen.
    way.fold(around, _NEARLY)
    way.say(
        Do.GLUE,
        f"Bring walls {way.name(*walls)} round and glue {way.named('flap', joined)} {_side(way, walls, seam)} wall "
        f"{way.name(seam.target)}, the edges level; press it until it grips.",
        joined,
    )
    way.fold(around)


def _between(way: AssemblyWay, walls: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Folds between walls that go round, and between the parts of walls with a score that stays flat."""
    for one, two in pairwise(walls):
        beside = way.hung.level_with(two)
        yield from ((a, b) for a in way.hung.level_with(one) for b in way.hung.near[a] if b in beside)


def _side(way: AssemblyWay, walls: Sequence[int], seam: Flap) -> str:
    """Where the glue flap lies: outside where the wall it hangs on is a little longer than the one across, to reach over it."""
    count = len(walls)
    across = walls[(walls.index(seam.on) + count // 2) % count] if seam.on in walls else seam.on
    hinge = next(h for h in way.report.hinges if {h.a, h.b} == {seam.panel, seam.on})
    own, other = (shapely.Polygon(way.report.panels[p].outline).area for p in (seam.on, across))
    longer, caliper = (own - other) / hinge.length, way.report.thickness
    return "outside on" if caliper and caliper / 2 < longer < _LAYERS * caliper else "inside"


def base_and_lid(ends: tuple[End, End]) -> tuple[End, End]:
    """Which end is closed first: the one that must be, else the lower one on the drawing."""
    low, high = ends
    if low.gussets or low.roof:
        return high, low
    if high.open or high.gussets or high.roof:
        return low, high
    if low.open or (low.tucks_in and not high.tucks_in):
        return high, low
    return low, high


def _glue_base(way: AssemblyWay, end: End) -> None:
    """Glue an end that is a base; through the other end one still reaches the inside."""
    if end.lapped:
        _lap(way, end, glue=True)
        return
    cover = end.covers[0]
    flaps = [f for f in end.tucks if f.target is not None]
    way.fold_flaps((*end.dust, *end.tucks))
    way.fold([(cover, way.hung.bodies_at(cover)[0])])
    lit = {cover, *lit_of(end.dust), *lit_of(flaps)}
    base = f"base {way.name(cover)}"
    if end.dust:
        onto = "it" if len(end.dust) == 1 else "them"
        inside = f", with {way.onto(flaps, 'wall')}" if flaps else ""
        way.say(
            Do.GLUE,
            f"Fold {way.named('flap', lit_of(end.dust))} in and glue {base} onto {onto}{inside}.",
            lit,
        )
    elif flaps:
        way.say(
            Do.GLUE,
            f"Fold the {many('flap', len(flaps))} of {base} square, push the base in, and reach through the open end to "
            f"glue {way.onto(flaps, 'wall')}.",
            lit,
        )
    else:
        way.say(Do.TAPE, f"Fold {base} in and tape its edges from inside: it has no glue flaps.", lit)


def _tuck_in(way: AssemblyWay, end: End, what: str) -> None:
    """Close an end that opens again: dust flaps, then the cover with its tuck flaps."""
    if end.lapped and not end.tucks:
        _lap(way, end, glue=False)
        return
    flaps = [f for f in end.tucks if f.target is not None]
    if len(end.covers) > 1 and flaps and all(f.target in end.covers for f in flaps):
        way.fold_all(end.covers)
        way.say(
            Do.GLUE,
            f"Close it for good: bring {way.name(*end.covers)} together and glue {way.onto(flaps, 'side')}.",
            {*end.covers, *lit_of(flaps)},
        )
        return
    if end.dust:
        way.fold_flaps(end.dust)
        dust = way.named("dust flap", lit_of(end.dust))
        text = f"Close {what}: fold {dust} in first; {not_glued(len(end.dust))}."
        way.say(Do.TUCK, text, lit_of(end.dust))
    way.fold_flaps(end.tucks)
    way.fold((cover, way.hung.bodies_at(cover)[0]) for cover in end.covers)
    start = "Then fold" if end.dust else f"Close {what}: fold"
    cover = way.named("cover", end.covers)
    if flaps:
        text = (
            f"{start} {cover} over and tuck {way.onto(flaps, 'wall')}, without glue, so that it opens again."
        )
        way.say(Do.TUCK, text, {*end.covers, *lit_of(flaps)})
    else:
        way.say(
            Do.STICKER, f"{start} {cover} shut and hold it with a sticker: it has no tuck flap.", end.covers
        )


def _lap(way: AssemblyWay, end: End, *, glue: bool) -> None:
    """An end of panels that lie over one another: the innermost first, the outermost last."""
    panels = way.report.panels
    members = sorted((*lit_of(end.dust), *end.covers), key=lambda k: (-panels[k].layer, k in end.covers, k))
    if not end.dust and len(members) > _RING:
        ring_steps(way, members, glue=glue)
        return
    groups: list[list[int]] = []
    for k in members:
        beside = groups[-1] if groups else []
        if beside and (
            (panels[k].layer, k in end.covers) == (panels[beside[0]].layer, False)
            or k in way.hung.level_with(beside[0])
        ):
            beside.append(k)
        else:
            groups.append([k])
    for below, group in zip([[], *groups], groups[:-1], strict=False):
        way.fold_all(group)
        held = _held(way, end, group) if glue else ""
        over = f" over {'them' if len(below) > 1 else 'it'}" if below else ""
        if below and glue:
            them = "them" if len(group) > 1 else "it"
            way.say(Do.GLUE, f"Fold {way.name(*group)} in{over} and glue {them} down{held}.", group)
        else:
            way.say(Do.FOLD, f"Fold {way.name(*group)} in{over}.", group)
    outer = groups[-1]
    way.fold_all(outer)
    it = "them" if len(outer) > 1 else "it"
    under = len(members) - len(outer)
    how = f"over {'the others' if under > 1 else 'it'}" if under else "in"
    do, hold = (
        (Do.GLUE, f"glue {it} down{_held(way, end, outer)}")
        if glue
        else (Do.STICKER, f"hold {it} with a sticker, so that it opens again")
    )
    way.say(do, f"Fold {way.name(*outer)} {how} and {hold}.", outer)


def _held(way: AssemblyWay, end: End, group: Sequence[int]) -> str:
    """Flaps of covers that are glued with them."""
    flaps = [f for f in end.tucks if f.on in group and f.target is not None]
    return f", with {way.onto(flaps, 'side')}" if flaps else ""


def ring_steps(way: AssemblyWay, members: Sequence[int], *, glue: bool) -> None:
    """Alike panels all round that lie over one another like the blades of a fan."""
    way.fold_all(members)
    start = f"Fold {way.name(*members)} in one after the other"
    if glue:
        text = f"{start}, glue each onto those under it, and press them from inside."
    else:
        text = (
            f"{start} and push the free edge of the last under the first, so that they hold one another; nothing is glued, so "
            "that it opens again."
        )
    way.say(Do.GLUE if glue else Do.TUCK, text, members)
