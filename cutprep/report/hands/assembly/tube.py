"""Steps of a piece that goes round: its seam, the end that is closed first, filling, the other end."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import shapely

from cutprep.model.duties import Duty
from cutprep.model.folded import Flap
from cutprep.report.hands.assembly.tube_parts import End, Tube
from cutprep.report.hands.assembly.way import AssemblyWay, Beside, Do, lit_of, many

#: Share of the folds in the picture of a seam that is about to be glued.
_NEARLY = 0.82
#: A wall that reaches over another one is longer by less than so many calipers.
_LAYERS = 3.0
#: More panels than this that close an end one over the other are taken as a ring of alike ones.
_RING = 2


def tube_steps(way: AssemblyWay, tube: Tube) -> None:
    """Add the steps of a tube."""
    _seam(way, tube)
    base, lid = base_and_lid(tube.ends)
    if base.open and lid.open:
        # Of several pieces the last step says what goes into which.
        over = " and slide it over what it goes round" if way.beside is Beside.NOTHING else ""
        way.say(Do.FOLD, f"It stays open at both ends: open it out square{over}.", tube.walls)
        return
    if not base.open:
        if base.tucks_in or (lid.open and base.dust and len(base.covers) < 2):
            _tuck_in(way, base, "the lower end" if not lid.open else "the end")
        else:
            _glue_base(way, base)
    if lid.open:
        return
    if not base.open:
        way.say_fill()
    roof = _roof(way, tube, lid)
    if roof:
        _ridge(way, tube, lid, roof)
    elif lid.gussets:
        _gather(way, lid)
    else:
        _tuck_in(way, lid, "the lid")


def _seam(way: AssemblyWay, tube: Tube) -> None:
    """Bring the walls round and join them."""
    walls, seam = tube.walls, tube.seam
    way.fold(pairwise(walls))
    if seam is None or seam.target is None:
        tips = (walls[0], walls[-1])
        way.say(
            Do.TAPE,
            f"Bring walls {way.name(*walls)} round until {way.name(*tips)} meet edge to edge, and tape that seam from "
            "inside: it has no glue flap.",
            tips,
        )
        return
    way.fold_flaps([seam])
    # The picture shows the seam a moment before it meets, so that the flap is seen.
    way.fold(pairwise(walls), _NEARLY)
    way.say(
        Do.GLUE,
        f"Bring walls {way.name(*walls)} round and glue flap {way.name(seam.panel)} {_side(way, walls, seam)} wall "
        f"{way.name(seam.target)}, the edges level; press it until it grips.",
        [seam.panel],
    )
    way.fold(pairwise(walls))


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
    if low.gussets:
        return high, low
    if high.open or high.gussets:
        return low, high
    if low.open or (low.tucks_in and not high.tucks_in):
        return high, low
    return low, high


def _glue_base(way: AssemblyWay, end: End) -> None:
    """Glue an end that is a base; through the other end one still reaches the inside."""
    if len(end.covers) != 1:
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
    if len(end.covers) != 1:
        _lap(way, end, glue=False)
        return
    cover = end.covers[0]
    flaps = [f for f in end.tucks if f.target is not None]
    if end.dust:
        way.fold_flaps(end.dust)
        glued = "it is not glued" if len(end.dust) == 1 else "they are not glued"
        way.say(
            Do.TUCK,
            f"Close {what}: fold {way.named('dust flap', lit_of(end.dust))} in first; {glued}.",
            lit_of(end.dust),
        )
    way.fold_flaps(end.tucks)
    way.fold([(cover, way.hung.bodies_at(cover)[0])])
    start = "Then fold" if end.dust else f"Close {what}: fold"
    if flaps:
        text = f"{start} cover {way.name(cover)} over and tuck {way.onto(flaps, 'wall')}, without glue, so that it opens again."
        way.say(Do.TUCK, text, {cover, *lit_of(flaps)})
    else:
        text = f"{start} cover {way.name(cover)} shut and hold it with a sticker: it has no tuck flap."
        way.say(Do.STICKER, text, [cover])


def _lap(way: AssemblyWay, end: End, *, glue: bool) -> None:
    """An end of panels that lie over one another: the innermost first, the outermost last."""
    panels = way.report.panels
    members = sorted((*lit_of(end.dust), *end.covers), key=lambda k: (-panels[k].layer, k in end.covers, k))
    if not end.dust and len(members) > _RING:
        _ring(way, members, glue=glue)
        return
    dust = [k for k in members[:-1] if k not in end.covers] if members[-1] in end.covers else []
    groups = ([dust] if dust else []) + [[k] for k in members[:-1] if k not in dust]
    for under, group in zip([[], *groups], groups, strict=False):
        way.fold_all(group)
        over = f" over {'them' if len(under) > 1 else 'it'}" if under else ""
        if under and glue:
            way.say(Do.GLUE, f"Fold {way.name(*group)} in{over} and glue it down.", group)
        else:
            way.say(Do.FOLD, f"Fold {way.name(*group)} in{over}.", group)
    way.fold_all(members[-1:])
    do, hold = (
        (Do.GLUE, "glue it down") if glue else (Do.STICKER, "hold it with a sticker, so that it opens again")
    )
    way.say(do, f"Fold {way.name(*members[-1:])} over the others and {hold}.", members[-1:])


def _ring(way: AssemblyWay, members: Sequence[int], *, glue: bool) -> None:
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


def _gather(way: AssemblyWay, end: End) -> None:
    """Bring the panels above the walls together, the folded corners going in between them."""
    # Two halves make one corner; at the seam the halves hang on both sides of it.
    count = (len(end.gussets) + 1) // 2
    way.fold_all((*end.covers, *end.gussets))
    way.say(
        Do.TIE,
        f"Close the top: lean {way.name(*end.covers)} in together and push the {count} folded {many('corner', count)} "
        "inwards between them, until the points meet; tie them with a ribbon, so that it opens again.",
        (*end.covers, *end.gussets),
    )


def _roof(way: AssemblyWay, tube: Tube, end: End) -> list[int]:
    """Covers that lean together over corners folded back under them: the roof of a ridge; empty for another end."""
    near, walls = way.hung.near, set(tube.walls)
    roof = [c for c in end.covers if any(way.hung.over(k, c) for k in set(near[c]) - walls)]
    return roof if len(roof) == 2 and len(end.covers) == 4 else []


def _ridge(way: AssemblyWay, tube: Tube, end: End, roof: list[int]) -> None:
    """Push the ends of a ridge in, and bring the roof and what stands on it together."""
    sides = [c for c in end.covers if c not in roof]
    beyond = {
        k
        for c in end.covers
        for wall in tube.walls
        if wall in way.hung.near[c]
        for k in way.hung.beyond(c, wall)
    }
    above = [k for c in roof for k in way.hung.near[c] if k not in tube.walls and not way.hung.over(k, c)]
    way.fold_all(beyond)
    text = (
        f"Close the top: push {way.name(*sides)} in along their mountain folds, so that roof panels {way.name(*roof)} "
        "lean together over the folded corners"
    )
    if any(way.report.panels[k].duty is Duty.GUSSET for k in beyond):
        text += (
            f", and press fin {way.name(*above)} flat with the corners between; glue it, or hold it with a clip so that "
            "it opens again."
        )
        way.say(Do.GLUE, text, (*end.covers, *above))
    else:
        way.say(Do.FOLD, f"{text}, until handles {way.name(*above)} meet.", (*end.covers, *above))
