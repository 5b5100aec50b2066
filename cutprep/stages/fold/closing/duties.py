"""What every panel beside the shell is for, read off the folded part."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutprep.model.duties import Duty, Fastening
from cutprep.stages.fold.closing.verdict.judge import Judged
from cutprep.stages.fold.closing.verdict.state import State
from cutprep.stages.fold.closing.ways.tubes import rows_of

#: The walls of a tube turn by at least this from the first to the last, degrees: two thirds of a turn.
_RING = 200.0
#: A fold beyond this lays a panel flat on its neighbour, degrees.
_FOLDED_BACK = 170.0
#: A fold below this leaves a panel in the plane of its neighbour, degrees.
_STRAIGHT_ON = 10.0
#: A flap on an end panel that reaches further than this share of that panel is a dust flap, else a glue flap.
_DUST = 0.3
#: A flap on an end panel with at least this share of its area closes the opening with it.
_CLOSES = 0.6
#: What goes over tabs that are glued.
_LAST = frozenset({Duty.TUCK_FLAP, Duty.TURNED_WALL})
#: A flap hangs on the end opposite the wall of an end panel when its hinge runs along that panel's (sine of 25 degrees).
_OPPOSITE = 0.42
#: A strip turned in that reaches this share of the wall it lies on is a wall itself.
_WALL = 0.6


@dataclass(frozen=True, slots=True)
class AttachedPanel:
    """A panel beside the shell, with its place.

    Attributes
    ----------
    hinge
        The hinge it hangs on; `on` the panel beyond.
    target
        The panel it lies on, or None.
    angle
        Fold angle, degrees.
    turned_in
        It lies on the panel it hangs on.
    """

    panel: int
    hinge: int
    on: int
    target: int | None
    angle: float
    turned_in: bool = False
    source: str = "inferred"
    duty: Duty = Duty.GLUE_FLAP
    fastening: Fastening = Fastening.GLUED
    layer: int = 1
    lies_on: tuple[int, ...] = ()


def hung_of(judged: Judged) -> tuple[AttachedPanel, ...]:
    """Tell every layer and extra panel of a judged way."""
    state, shell = judged.state, judged.shell
    tree = state.frame.tree
    layer = layers_of(judged)
    ends = end_panels(judged)
    found: dict[int, AttachedPanel] = {}
    for panel in tree.members[1:].tolist():
        if panel in shell.panels:
            continue
        hinge, on = int(tree.hinge[panel]), int(tree.parent[panel])
        angle = float(state.degrees[hinge])
        under = shell.layers.get(panel, ()) or _against(judged, panel)
        target = under[0] if under else None
        told = AttachedPanel(
            panel, hinge, on, target, angle, target == on, layer=layer.get(panel, 0), lies_on=under
        )
        duty, fastening = _duty(judged, told, found, ends)
        found[panel] = AttachedPanel(
            panel, hinge, on, target, angle, duty is Duty.TURNED_WALL and panel not in state.frame.rims,
            "inferred", duty, fastening,
            told.layer, under,
        )  # fmt: skip
    _tuck_lid(judged, found, ends)
    _dust_beside(found, ends)
    _put_over_tabs(judged, found)
    return tuple(found[p] for p in sorted(found))


def _tuck_lid(judged: Judged, found: dict[int, AttachedPanel], ends: frozenset[int]) -> None:
    """The flap of a wall that alone no end is glued to is tucked: that wall is a lid, the ends are sides."""
    part, free = judged.state.frame.part, set(judged.shell.panels - ends)
    for end in ends:
        tabs = [f for f in found.values() if end in (f.on, f.target)]
        if not tabs or any(f.duty is not Duty.GLUE_FLAP for f in tabs):
            return
        free -= {q for f in tabs for q in (f.on, *f.lies_on)}
        free -= {part.hinges[k].other(end) for k in part.hinges_at(end)}
    for flap in list(found.values()):
        if ends and len(free) == 1 and flap.duty is Duty.GLUE_FLAP and free & {flap.on, *flap.lies_on}:
            found[flap.panel] = replace(flap, duty=Duty.TUCK_FLAP, fastening=Fastening.TUCKED)


def _dust_beside(found: dict[int, AttachedPanel], ends: frozenset[int]) -> None:
    """Flaps of the walls beside an end that is tucked in, or closed by flaps over or beside one another, are not glued there."""
    flaps = list(found.values())
    closing = {f.panel for f in flaps if f.duty is Duty.CLOSURE_FLAP}
    closed = {f.on for f in flaps if f.duty is Duty.TUCK_FLAP} | {
        f.target for f in flaps if f.panel in closing
    }
    for flap in flaps:
        meet = len(ends.intersection(flap.lies_on)) > 1
        alone = flap.duty is not Duty.GLUE_FLAP or flap.on in ends
        if not alone and (meet or flap.target in closing or flap.target in ends & closed):
            found[flap.panel] = replace(flap, duty=Duty.DUST_FLAP, fastening=Fastening.HELD)


def _put_over_tabs(judged: Judged, found: dict[int, AttachedPanel]) -> None:
    """Put what is tucked or turned in on a wall over the tabs glued to that wall: those are there before it."""
    for panel in sorted(found):
        walls = [q for q in found[panel].lies_on if q not in found]
        if found[panel].duty not in _LAST or not walls:
            continue
        tabs = [
            q
            for q in sorted(judged.contacts.flush[panel])
            if q in found and found[q].duty is Duty.GLUE_FLAP and panel in found[q].lies_on
        ]
        for q in tabs:
            under = tuple(r for r in found[q].lies_on if r != panel) or (walls[0],)
            found[q] = replace(found[q], target=under[0], lies_on=under, layer=max(1, found[q].layer - 1))
        if tabs:
            layer = 1 + max(found[q].layer for q in tabs)
            found[panel] = replace(found[panel], lies_on=(*found[panel].lies_on, *tabs), layer=layer)


def _against(judged: Judged, panel: int) -> tuple[int, ...]:
    """What lies on a panel that sticks out of the shell: two handles that meet lie on one another."""
    shell = judged.shell
    return tuple(q for q, under in shell.layers.items() if panel in shell.extras and panel in under)


def layers_of(judged: Judged) -> dict[int, int]:
    """Number the layers: 1 lies on the shell, 2 on one of layer 1 ..."""
    layer = dict.fromkeys(judged.shell.panels, 0)
    for panel, under in reversed(judged.shell.layers.items()):
        layer[panel] = 1 + max((layer.get(q, 0) for q in under), default=0)
    return layer


def hollow_walls(judged: Judged) -> dict[int, int]:
    """Inner side of each hollow wall to its outer side, as the part was folded; the rim between them lies on nothing."""
    layers, frame = judged.shell.layers, judged.state.frame
    return {
        inner: wall
        for inner, wall in frame.hollow.items()
        if wall in layers.get(inner, ()) and int(frame.tree.parent[inner]) not in layers
    }


def end_panels(judged: Judged) -> frozenset[int]:
    """Panels of the shell that close the end of a tube: they hang on one of its walls."""
    frame, shell, degrees = judged.state.frame, judged.shell, judged.state.degrees
    part = frame.part
    found = set()
    for row in rows_of(frame)[:3]:
        walls = [k for k, p in enumerate(row.panels) if p in shell.panels]
        turned = abs(sum(degrees[h] for h in row.hinges[walls[0] : walls[-1]])) if walls else 0.0
        if turned < _RING:
            continue
        ring = {row.panels[k] for k in walls}
        for panel in sorted(shell.panels - ring):
            beside = [part.hinges[k].other(panel) for k in part.hinges_at(panel)]
            beside = [q for q in beside if q in shell.panels]
            if len(beside) == 1 and beside[0] in ring:
                found.add(panel)
    return frozenset(found)


def _duty(
    judged: Judged, told: AttachedPanel, found: dict[int, AttachedPanel], ends: frozenset[int]
) -> tuple[Duty, Fastening]:
    state = judged.state
    areas = state.frame.part.areas
    if told.panel in judged.shell.partitions:
        return Duty.PARTITION, Fastening.HELD
    if told.panel in judged.shell.arches:
        tip = len(state.frame.part.hinges_at(told.panel)) == 1
        return Duty.HANDLE, Fastening.GLUED if tip else Fastening.HELD
    if told.target is None:
        return _unattached(judged, told)
    if told.target == told.on and abs(told.angle) < _STRAIGHT_ON:
        return Duty.FREE_FLAP, Fastening.NOTHING  # a door in its wall
    if told.target in judged.shell.extras or told.panel in judged.shell.extras:
        return Duty.HEADER, Fastening.HELD
    beyond_rim = told.on in state.frame.rims
    if (
        not beyond_rim
        and told.on in found
        and found[told.on].duty in {Duty.TURNED_WALL, Duty.FREE_FLAP}
        and not told.turned_in
    ):
        return Duty.FOOT, Fastening.HELD
    if len(state.frame.part.hinges_at(told.panel)) > 1 and _in_ring(state, told.panel):
        return Duty.GUSSET, Fastening.HELD
    if told.panel in state.frame.rims:
        return Duty.TURNED_WALL, Fastening.HELD  # between a wall and its inner side
    if abs(told.angle) > _FOLDED_BACK and told.turned_in:
        large = areas[told.panel] >= _WALL * areas[told.target]
        return (Duty.TURNED_WALL, Fastening.GLUED) if large else (Duty.GLUE_FLAP, Fastening.GLUED)
    if _beyond_a_rim(state, told):
        return Duty.TURNED_WALL, Fastening.GLUED
    if told.on in ends and not _opposite(state, told):
        return Duty.GLUE_FLAP, Fastening.GLUED
    if told.on in ends or (told.on in found and found[told.on].duty is Duty.CLOSURE_FLAP):
        return Duty.TUCK_FLAP, Fastening.TUCKED
    if told.target in ends:
        if areas[told.panel] >= _CLOSES * areas[told.target]:
            return Duty.CLOSURE_FLAP, Fastening.CLOSES
        # An end without a flap of its own is held by these alone: they are glued.
        if _has_flap(judged, told.target) and _reach(state, told) >= _DUST * _across(state, told):
            return Duty.DUST_FLAP, Fastening.HELD
    return Duty.GLUE_FLAP, Fastening.GLUED


def _has_flap(judged: Judged, end: int) -> bool:
    """Whether a flap hangs on an end panel, which may be tucked in."""
    part = judged.state.frame.part
    return any(part.hinges[k].other(end) not in judged.shell.panels for k in part.hinges_at(end))


def _unattached(judged: Judged, told: AttachedPanel) -> tuple[Duty, Fastening]:
    """A panel that lies on nothing: it goes straight on from its neighbour, or sticks out."""
    if abs(told.angle) < _STRAIGHT_ON:
        areas = judged.state.frame.part.areas
        wide = areas[told.panel] >= 0.5 * areas[told.on]
        return (Duty.HEADER if wide else Duty.HANG_TAB), Fastening.NOTHING
    return Duty.FREE_FLAP, Fastening.NOTHING


def _opposite(state: State, told: AttachedPanel) -> bool:
    """Whether a flap hangs on its panel opposite the score that holds that: a tuck flap; beside it hang corner tabs."""
    held = int(state.frame.tree.hinge[told.on])
    if held < 0:
        return True
    hinges = state.frame.part.hinges
    one, two = ((hinges[k].ends[1] - hinges[k].ends[0]) / hinges[k].length for k in (held, told.hinge))
    return bool(abs(one[0] * two[1] - one[1] * two[0]) < _OPPOSITE)


def _in_ring(state: State, panel: int) -> bool:
    """Whether a panel is part of a ring of panels round a vertex."""
    part = state.frame.part
    ring = {p for k in state.frame.across for p in (part.hinges[k].a, part.hinges[k].b)}
    return panel in ring


def _beyond_a_rim(state: State, told: AttachedPanel) -> bool:
    return told.target is not None and frozenset((told.panel, told.target)) in state.frame.apart


def _reach(state: State, told: AttachedPanel) -> float:
    h = state.frame.part.hinges[told.hinge]
    along = (h.ends[1] - h.ends[0]) / h.length
    away = (state.frame.rings[told.panel] - h.ends[0]) @ np.array([-along[1], along[0]])
    return float(np.abs(away).max())


def _across(state: State, told: AttachedPanel) -> float:
    """How far the panel that a flap lies on reaches away from the flap's hinge, mm."""
    assert told.target is not None
    h = state.frame.part.hinges[told.hinge]
    ends = state.lower(told.target, state.lift(told.panel, h.ends))
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    away = (state.frame.rings[told.target] - ends[0]) @ np.array([-along[1], along[0]])
    return float(np.abs(away).max())
