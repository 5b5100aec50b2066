"""Flaps and gussets of a folded body: their fold angles follow from the body in closed form."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.geometry.space.hinged import carry, pose_panels
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.duties import AttachedPanel
from cutprep.stages.fold.closing.zip.body import Body
from cutprep.stages.fold.closing.zip.guesses import Pleat
from cutprep.stages.fold.closing.zip.zips import hung_on, turns_in
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.declared.resolved import ResolvedDeclarations
from cutprep.stages.fold.net.part import HingedPart


@dataclass(frozen=True, slots=True, eq=False)
class BodyPose:
    """Panels of a body in space, and the directions that hinges see."""

    part: HingedPart
    turn: Points
    shift: Points

    def inward(self, panel: int, ends: Points) -> Points:
        """Direction in space, (3,), from a side, (2, 2), with the panel on its left, into that panel."""
        along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
        return np.asarray(self.turn[panel] @ np.array([-along[1], along[0], 0.0]))

    def fold_towards(self, hinge: int, child: int, direction: Points) -> float:
        """Fold angle that turns a panel beyond a hinge into a direction, (3,); degrees."""
        h = self.part.hinges[hinge]
        on = h.other(child)
        along = (h.ends[1] - h.ends[0]) / h.length * (1.0 if h.b == child else -1.0)
        out = self.turn[on] @ np.array([-along[1], along[0], 0.0])
        return float(np.degrees(np.arctan2(direction @ self.turn[on][:, 2], direction @ out)))


def frame_of(part: HingedPart, body: Body) -> BodyPose:
    """A body's panels in space."""
    return BodyPose(part, *pose_panels(body.tree, body.radians))


def partner_of(body: Body) -> dict[int, int]:
    """The side that each side of a body meets."""
    pairs = body.zipped.pairs
    return {p.a: p.b for p in pairs} | {p.b: p.a for p in pairs}


def hung_flaps(part: HingedPart, body: Body, resolved: ResolvedDeclarations) -> tuple[AttachedPanel, ...]:
    """Find where each flap goes.

    A flap on a side that meets another panel folds flat onto that panel; one on a free rim may
    be turned in on its own wall; else it meets nothing and stays flat.
    """
    frame, where, partner = frame_of(part, body), hung_on(body.zipped), partner_of(body)
    found = []
    for flap in sorted(body.guess.flaps):
        hinge = part.hinges_at(flap)[0]
        on = part.hinges[hinge].other(flap)
        target, angle, turned = resolved.targets.get(flap), 0.0, False
        source = "inferred" if target is None else "declared"
        side = where.get(hinge)
        if target is not None and on in body.members and target in body.members:
            angle = frame.fold_towards(hinge, flap, _towards(frame, hinge, target))
        elif side in partner:
            mate = body.zipped.side(partner[side])
            target = mate.panel
            angle = frame.fold_towards(hinge, flap, frame.inward(target, mate.ends))
        elif side is not None and turns_in(part, flap, hinge):
            target, angle, turned = on, 180.0 * (1.0 if body.volume >= 0 else -1.0), True
        found.append(AttachedPanel(flap, hinge, on, target, resolved.fixed.get(hinge, angle), turned, source))
    return tuple(found)


def level_lids(part: HingedPart, body: Body, hung: tuple[AttachedPanel, ...]) -> dict[int, float]:
    """Fold flaps on flat rims level, over the opening: angle of each hinge, degrees."""
    frame, where = frame_of(part, body), hung_on(body.zipped)
    on_rim = {k: rim for rim in body.zipped.rims for k in rim}
    folds: dict[int, float] = {}
    for flap in hung:
        side = where.get(flap.hinge)
        if side not in on_rim or (flap.target is not None and not flap.turned_in):
            continue
        rim = [body.zipped.side(k) for k in on_rim[side]]
        points = np.vstack([carry(frame.turn[s.panel], frame.shift[s.panel], s.ends) for s in rim])
        middle = points.mean(axis=0)
        normal = np.linalg.svd(points - middle, full_matrices=False)[2][-1]
        own = body.zipped.side(side)
        ends = carry(frame.turn[own.panel], frame.shift[own.panel], own.ends)
        across = np.cross(normal, ends[1] - ends[0])
        inward = across if across @ (middle - ends[0]) > 0 else -across
        folds[flap.hinge] = frame.fold_towards(flap.hinge, flap.panel, inward)
    return folds


def _towards(frame: BodyPose, hinge: int, target: int) -> Points:
    """Direction from a hinge into a declared target, in the target's plane."""
    part = frame.part
    h = part.hinges[hinge]
    on = h.a
    start = carry(frame.turn[on], frame.shift[on], h.ends.mean(axis=0)[None])[0]
    middle = shapely.get_coordinates(part.polygons[target].centroid)
    away = carry(frame.turn[target], frame.shift[target], middle)[0] - start
    normal = frame.turn[target][:, 2]
    return np.asarray(away - (away @ normal) * normal)


def pleat_folds(part: HingedPart, body: Body, constraints: FoldConstraints) -> dict[int, float]:
    """Fold angles of gussets: both halves lie between the walls, on the half-way plane."""
    frame, where, partner = frame_of(part, body), hung_on(body.zipped), partner_of(body)
    folds: dict[int, float] = {}
    inside = 1.0 if body.volume >= 0 else -1.0
    for pleat in body.guess.pleats:
        outwards = _drawn_outwards(pleat, constraints, inside)
        for half, hinge in ((pleat.half_a, pleat.hinge_a), (pleat.half_b, pleat.hinge_b)):
            if half is None or hinge is None or where.get(hinge) not in partner:
                continue
            own = body.zipped.side(where[hinge])
            mate = body.zipped.side(partner[where[hinge]])
            middle = frame.inward(own.panel, own.ends) + frame.inward(mate.panel, mate.ends)
            if np.linalg.norm(middle) < 1e-2:  # walls in one plane: the gusset stands up
                middle = inside * frame.turn[own.panel][:, 2]
            folds[hinge] = frame.fold_towards(hinge, half, -middle if outwards else middle)
        if pleat.middle is not None:
            folds[pleat.middle] = 180.0 * (inside if outwards else -inside)
    return folds


def _drawn_outwards(pleat: Pleat, constraints: FoldConstraints, inside: float) -> bool:
    """Whether the drawn folds put a gusset outside; inside unless they say so."""
    said = constraints.signs[pleat.middle] * inside if pleat.middle is not None else 0.0
    walls = [constraints.signs[h] * inside for h in (pleat.hinge_a, pleat.hinge_b) if h is not None]
    return bool(said > 0 or (said == 0 and min(walls) < 0))
