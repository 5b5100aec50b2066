"""Steps of a base with walls: walls and their glue flaps, turned-in strips, filling, and what closes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutprep.model.duties import Duty
from cutprep.model.folded import Flap, Role, Verdict
from cutprep.report.hands.assembly.tray_parts import HALVES, Tray, TurnedStrip
from cutprep.report.hands.assembly.tube import ring_steps
from cutprep.report.hands.assembly.way import AssemblyWay, Beside, Do, lit_of, not_glued


def tray_steps(way: AssemblyWay, tray: Tray) -> None:
    """Add the steps of a tray, with or without a lid."""
    closed = way.report.verdict is Verdict.CLOSED
    last = max(tray.walls) if closed and not tray.lids and tray.walls else None
    lids = [way.hung.beyond(lid, way.hung.towards(lid, tray.base)) for lid in tray.lids]
    held = {k for lid in lids for k in lid}
    strips = {s.strip: s for s in tray.strips}
    feet = {s: [f for f in way.report.flaps if f.on == s and f.duty is Duty.FOOT] for s in strips}
    later = held | ({last} if last is not None else set())
    footed = {f.panel for mine in feet.values() for f in mine}
    flaps = [f for f in way.hung.lying if f.panel not in strips.keys() | footed]
    tabs = [f for f in flaps if not ({f.panel, f.on, f.target} & later)]
    # A tab under a strip is glued to the wall before that strip comes down on both.
    tabs = [replace(f, target=strips[f.target].wall) if f.target in strips else f for f in tabs]
    inside = [f for f in flaps for lid in lids if f.on in lid and (f.target in lid or f.on in way.hung.flaps)]
    taken = {f.panel for f in (*tabs, *inside)}
    closing = [f for f in flaps if f.panel not in taken]
    _walls(way, tray, [w for w in tray.walls if w != last], tabs)
    for strip in tray.strips:
        _over(way, tray, strip, feet[strip.strip], covers=any(f.target == strip.wall for f in tabs))
    if len(tray.lids) > HALVES:
        way.say_fill()
        ring_steps(way, tray.lids, glue=False)
    elif tray.lids:
        _lids(way, tray, held, inside, closing)
    elif last is not None:
        _last_side(way, tray, last, closing)


def _over(way: AssemblyWay, tray: Tray, strip: TurnedStrip, feet: Sequence[Flap], *, covers: bool) -> None:
    """Fold a strip over into the tray, with what it covers and the foot that it stands on."""
    flaps = " and over the flaps there" if covers else ""
    lit = [strip.strip, strip.wall, *lit_of(feet)]
    if strip.rim is None:
        way.fold([(strip.strip, strip.wall)])
        text = f"Fold strip {way.name(strip.strip)} over into the box, flat onto wall {way.name(strip.wall)}{flaps}, and glue it"
    else:
        way.fold([(strip.rim, strip.wall), (strip.strip, strip.rim)])
        lit.append(strip.rim)
        text = (
            f"Fold rim {way.name(strip.rim)} over and strip {way.name(strip.strip)} down into the box, inside wall "
            f"{way.name(strip.wall)}{flaps}, and glue it"
        )
    way.fold_flaps(feet)
    if feet:
        text += f"; its foot {way.named('strip', lit_of(feet))} lies flat on base {way.name(tray.base)}"
    way.say(Do.GLUE, f"{text}.", lit)


def _walls(way: AssemblyWay, tray: Tray, walls: Sequence[int], tabs: Sequence[Flap]) -> None:
    base = way.name(tray.base)
    gussets = [k for k, p in enumerate(way.report.panels) if p.role is Role.GUSSET]
    if not gussets and tabs:
        way.fold_flaps(tabs)
        way.say(Do.FOLD, f"Fold {way.named('flap', lit_of(tabs))} inwards along {_its(tabs)}.", lit_of(tabs))
    way.fold((w, tray.base) for w in walls)
    if gussets:
        way.fold_all(gussets)
        count = (len(gussets) + 1) // 2
        way.say(
            Do.GLUE,
            f"Stand up {way.named('wall', walls)} round base {base}; at each of the {count} corners the card between two "
            "walls folds in half and is glued down flat along a wall.",
            (*walls, *gussets),
        )
    elif tabs:
        way.say(
            Do.GLUE,
            f"Stand up {way.named('wall', walls)} round base {base} and glue {way.onto(tabs, 'wall')}, one after the other; "
            "hold each until it grips.",
            (*walls, *lit_of(tabs)),
        )
    elif way.beside is Beside.LID:
        way.say(
            Do.FOLD,
            f"Stand up {way.named('wall', walls)} round base {base} to see that they meet, and let them fall open again; nothing "
            "is glued, since the lid holds them.",
            walls,
        )
    elif way.report.mates:
        way.say(
            Do.TAPE,
            f"Stand up {way.named('wall', walls)} round base {base}; the edges that meet have no glue flaps: tape them from "
            "inside, or leave them loose where a lid holds them.",
            walls,
        )


def _its(tabs: Sequence[Flap]) -> str:
    return "its score" if len(tabs) == 1 else "their scores"


def _lids(
    way: AssemblyWay, tray: Tray, held: set[int], inside: Sequence[Flap], closing: Sequence[Flap]
) -> None:
    """What the lid holds together by itself is glued, what holds it to the box is tucked."""
    if inside:
        way.fold_flaps(inside)
        way.fold_all(held - {f.panel for f in closing})
        way.fold(((lid, way.hung.towards(lid, tray.base)) for lid in tray.lids), 0.0)
        way.say(Do.GLUE, f"Make up the lid: glue {_corners(way, inside, held)}.", lit_of(inside))
    way.say_fill()
    first = [f for f in closing if f.on not in held]
    if first:
        way.fold_flaps(first)
        text = f"Fold {way.named('flap', lit_of(first))} in first; {not_glued(len(first))}."
        way.say(Do.TUCK, text, lit_of(first))
    way.fold_all(tray.lids)
    way.fold_flaps(closing)
    lid = way.named("lid", tray.lids)
    tucked = [f for f in closing if f not in first]
    if inside and not any(f.target in held for f in inside):
        text = f"Fold {lid} over, its rim along the walls; nothing is glued, so that it opens again."
    elif tucked:
        text = f"Fold {lid} over and tuck {way.onto(tucked, 'wall')}, without glue, so that it opens again."
    else:
        text = f"Fold {lid} over; nothing is glued, so that it opens again."
    way.say(Do.TUCK, text, {*tray.lids, *lit_of(tucked)})


def _corners(way: AssemblyWay, inside: Sequence[Flap], held: set[int]) -> str:
    """Where the flaps of a lid with a rim of its own go: inside the strip of the rim that lies on the same wall."""
    rims = {f.target: f.panel for f in way.report.flaps if f.panel in held and f.on not in way.hung.flaps}
    return way.onto(
        [replace(f, target=rims.get(f.target, f.target)) if f.on in way.hung.flaps else f for f in inside],
        "wall",
    )


def _last_side(way: AssemblyWay, tray: Tray, last: int, closing: Sequence[Flap]) -> None:
    """A body that is joined all round: its last side closes it for good."""
    way.say_fill_for_good()
    way.fold([(last, tray.base)])
    way.fold_flaps(closing)
    way.say_last_side(last, closing)
