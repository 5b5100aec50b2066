"""Steps of a base with walls: walls and their glue flaps, turned-in strips, filling, and what closes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutprep.model.duties import Duty
from cutprep.model.folded import Flap, Role, Verdict
from cutprep.report.hands.assembly.tray_parts import Tray
from cutprep.report.hands.assembly.way import FILL, AssemblyWay, Beside, Do, lit_of, many


def tray_steps(way: AssemblyWay, tray: Tray) -> None:
    """Add the steps of a tray, with or without a lid."""
    if tray.deep:
        _edge_to_edge(way, tray)
        return
    closed = way.report.verdict is Verdict.CLOSED
    last = max(tray.walls) if closed and not tray.lids and tray.walls else None
    held = {k for lid in tray.lids for k in way.hung.beyond(lid, way.hung.towards(lid, tray.base))}
    strips = {k for k, _ in tray.turned}
    feet = {s: [f for f in way.report.flaps if f.on == s and f.duty is Duty.FOOT] for s in strips}
    later = held | ({last} if last is not None else set())
    footed = {f.panel for mine in feet.values() for f in mine}
    flaps = [f for f in way.report.flaps if f.target is not None and f.panel not in strips | footed]
    tabs = [f for f in flaps if not ({f.panel, f.on, f.target} & later)]
    # A tab under a strip is glued to the wall before that strip comes down on both.
    under = dict(tray.turned)
    tabs = [replace(f, target=under.get(f.target, f.target)) for f in tabs if f.target is not None]
    inside = [f for f in flaps if f.on in held and f.target in held]
    taken = {f.panel for f in (*tabs, *inside)}
    closing = [f for f in flaps if f.panel not in taken]
    _walls(way, tray, [w for w in tray.walls if w != last], tabs)
    for strip, wall in tray.turned:
        mine = feet[strip]
        way.fold([(strip, wall)])
        way.fold_flaps(mine)
        foot = (
            f"; its foot {way.named('strip', lit_of(mine))} lies flat on base {way.name(tray.base)}"
            if mine
            else ""
        )
        way.say(
            Do.GLUE,
            f"Fold strip {way.name(strip)} over into the box, flat onto wall {way.name(wall)} and over the flaps there, and "
            f"glue it{foot}.",
            [strip, wall, *lit_of(mine)],
        )
    if tray.lids:
        _lids(way, tray, held, inside, closing)
    elif last is not None:
        _last_side(way, tray, last, closing)


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
        way.say(Do.GLUE, f"Make up the lid: glue {way.onto(inside, 'wall')}.", lit_of(inside))
    way.say_fill()
    way.fold_all(tray.lids)
    way.fold_flaps(closing)
    lid = way.named("lid", tray.lids)
    if closing:
        text = f"Fold {lid} over and tuck {way.onto(closing, 'wall')}, without glue, so that it opens again."
    else:
        text = f"Fold {lid} over; nothing is glued, so that it opens again."
    way.say(Do.TUCK, text, {*tray.lids, *lit_of(closing)})


def _last_side(way: AssemblyWay, tray: Tray, last: int, closing: Sequence[Flap]) -> None:
    """A body that is joined all round: its last side closes it for good."""
    way.say_fill(f"{FILL[:-1]}: the next step closes it for good.")
    way.fold([(last, tray.base)])
    way.fold_flaps(closing)
    how = f"glue {way.onto(closing, 'side')}" if closing else "tape its edges, which have no glue flaps"
    do = Do.GLUE if closing else Do.TAPE
    way.say(do, f"Close the last side {way.name(last)}: {how}.", {last, *lit_of(closing)})


def _edge_to_edge(way: AssemblyWay, tray: Tray) -> None:
    """A solid of many sides: from the base outwards."""
    way.fold_all(range(len(way.report.panels)))
    flaps = [f for f in way.report.flaps if f.target is not None]
    if flaps:
        count = len(flaps)
        how = f"glue each of the {count} {many('flap', count)} inside the panel that its edge meets"
    else:
        how = "tape each edge that meets another from inside: they have no glue flaps"
    way.say(
        Do.GLUE if flaps else Do.TAPE,
        f"Work outwards from {way.name(tray.base)} and {how}; fill it before the last panel closes it.",
        lit_of(flaps),
    )
