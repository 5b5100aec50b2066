"""Declarations by point, turned into the numbers of one part."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import shapely

from cutprep.errors import JobError
from cutprep.model.lines import Points
from cutprep.stages.fold.declared.file import DeclaredPoint, FoldDeclarations
from cutprep.stages.fold.net.part import HingedPart

#: A point names what lies within this of it, mm.
REACH = 2.0


@dataclass(frozen=True, slots=True)
class ResolvedDeclarations:
    """What the maker declared, by one part's own numbers.

    Attributes
    ----------
    fixed
        Hinge to fold angle, degrees.
    roles
        Panels declared flaps (True) or body (False).
    targets
        Flap to the panel it lies on.
    mates
        Pairs of points: the sides nearest them meet.
    opens
        Points: the sides nearest them meet nothing.
    gathers
        Groups of vertices that come together.
    """

    fixed: dict[int, float] = field(default_factory=dict)
    roles: dict[int, bool] = field(default_factory=dict)
    targets: dict[int, int] = field(default_factory=dict)
    mates: tuple[tuple[Points, Points], ...] = ()
    opens: tuple[Points, ...] = ()
    gathers: tuple[tuple[int, ...], ...] = ()

    @property
    def says_something(self) -> bool:
        """Whether anything about closing was declared."""
        return bool(self.fixed or self.roles or self.mates or self.opens or self.gathers)


def owners(parts: list[HingedPart], declared: FoldDeclarations) -> dict[DeclaredPoint, int]:
    """Find the part that each declared point belongs to.

    Raises
    ------
    JobError
        When a point lies on no part.
    """
    found = {}
    shapes = [shapely.MultiPolygon(list(p.polygons)) for p in parts]
    for spot in _spots(declared):
        far = [float(s.distance(shapely.Point(spot.xy))) for s in shapes]
        if not far or min(far) > REACH:
            raise _nothing(spot, "part")
        found[spot] = int(np.argmin(far))
    return found


def _spots(declared: FoldDeclarations) -> list[DeclaredPoint]:
    spots = [s for s, _ in declared.angles]
    spots += [s for pair in declared.mates for s in pair]
    spots += [s for pair in declared.flaps for s in pair if s is not None]
    spots += [s for group in declared.gathers for s in group]
    return spots + list(declared.opens)


def resolve_declarations(
    part: HingedPart, number: int, declared: FoldDeclarations, owner: dict[DeclaredPoint, int]
) -> ResolvedDeclarations:
    """Pick one part's declarations.

    Parameters
    ----------
    part, number
        The part, and its number among the parts of the drawing.
    declared
        What the maker declared for the drawing.
    owner
        The part that each declared point lies on.

    Raises
    ------
    JobError
        When a point names nothing.
    """
    resolved = ResolvedDeclarations(
        mates=tuple(
            (np.array(a.xy), np.array(b.xy)) for a, b in declared.mates if owner[a] == number == owner[b]
        ),
        opens=tuple(np.array(s.xy) for s in declared.opens if owner[s] == number),
        gathers=tuple(
            tuple(_vertex(part, s) for s in group)
            for group in declared.gathers
            if all(owner[s] == number for s in group)
        ),
    )
    for k, hinge in enumerate(part.hinges):
        if hinge.declared is not None:
            resolved.fixed[k] = hinge.declared
    for spot, degrees in declared.angles:
        if owner[spot] == number:
            k = _hinge(part, spot)
            unsigned = degrees >= 0 and part.hinges[k].fold < 0
            resolved.fixed[k] = -degrees if unsigned else degrees
    for at, onto in declared.flaps:
        if owner[at] == number:
            flap = _panel(part, at)
            if len(part.hinges_at(flap)) != 1:
                raise JobError(
                    f"the panel at {at.as_said[0]:g}, {at.as_said[1]:g} is declared a flap, but hangs on more than one score",
                    fix="Declare the sides that meet instead.",
                    place=at.place,
                )
            resolved.roles[flap] = True
            if onto is not None:
                resolved.targets[flap] = _panel(part, onto)
    return resolved


def _nothing(spot: DeclaredPoint, what: str) -> JobError:
    return JobError(
        f"no {what} lies within {REACH:g} mm of {spot.as_said[0]:g}, {spot.as_said[1]:g}",
        fix="Give a point of the drawing as it is now, in mm, y up.",
        place=spot.place,
    )


def _hinge(part: HingedPart, spot: DeclaredPoint) -> int:
    point = shapely.Point(spot.xy)
    far = [float(shapely.LineString(h.ends).distance(point)) for h in part.hinges]
    if not far or min(far) > REACH:
        raise _nothing(spot, "score between two panels")
    return int(np.argmin(far))


def _panel(part: HingedPart, spot: DeclaredPoint) -> int:
    far = shapely.distance(list(part.polygons), shapely.Point(spot.xy))
    if far.min() > REACH:
        raise _nothing(spot, "panel")
    return int(np.argmin(far))


def _vertex(part: HingedPart, spot: DeclaredPoint) -> int:
    vertices = sorted({v for ring in part.rings for v in ring})
    far = np.hypot(*(part.xy[vertices] - np.array(spot.xy)).T)
    if far.min() > REACH:
        raise _nothing(spot, "corner of a panel")
    return vertices[int(far.argmin())]
