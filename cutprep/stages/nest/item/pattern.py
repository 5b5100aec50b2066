"""A pattern: where copies lie on one sheet. Patterns are found once and used again for equal sheets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutprep.model.sheet import Placement
from cutprep.stages.nest.item.shape import Box, Shape, box_at
from cutprep.stages.nest.item.want import Pose


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one copy lies: which want, its pose, and where its origin goes, mm."""

    want: int
    pose: Pose
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Pattern:
    """The copies on one sheet, and how they were found."""

    spots: tuple[Spot, ...]
    method: str

    def __len__(self) -> int:
        return len(self.spots)

    def counts(self, wants: int) -> tuple[int, ...]:
        """Copies of each want."""
        tally = Counter(spot.want for spot in self.spots)
        return tuple(tally[i] for i in range(wants))

    def called(self, method: str) -> Pattern:
        """The same pattern under another method."""
        return replace(self, method=method)


def spot_box(spot: Spot, shapes: Sequence[Shape]) -> Box:
    """Left, bottom, right, top of a copy on the sheet, mm."""
    left, bottom, right, top = box_at(shapes[spot.want], spot.pose)
    return left + spot.x, bottom + spot.y, right + spot.x, top + spot.y


def used_box(pattern: Pattern, shapes: Sequence[Shape]) -> Box:
    """The box around all copies of a pattern; zeros when there are none."""
    boxes = [spot_box(spot, shapes) for spot in pattern.spots]
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def placements(
    pattern: Pattern, first: int = 1, sources: Sequence[tuple[int, int | None]] = ()
) -> tuple[Placement, ...]:
    """The copies as placements; copies are numbered on from `first`.

    Parameters
    ----------
    sources
        For each want the template and the part that it stands for; a want is its own template when
        empty.
    """
    placed = []
    for copy, spot in enumerate(pattern.spots, first):
        template, part = sources[spot.want] if sources else (spot.want, None)
        pose = spot.pose
        placed.append(Placement(template, spot.x, spot.y, pose.turn, pose.mirror, copy, part))
    return tuple(placed)


def tidied(pattern: Pattern, digits: int) -> Pattern:
    """The same pattern with rounded positions."""
    spots = tuple(
        Spot(s.want, s.pose, round(s.x, digits) + 0.0, round(s.y, digits) + 0.0) for s in pattern.spots
    )
    return Pattern(spots, pattern.method)


def moved(pattern: Pattern, dx: float, dy: float) -> Pattern:
    """The same pattern shifted on the sheet."""
    return Pattern(tuple(Spot(s.want, s.pose, s.x + dx, s.y + dy) for s in pattern.spots), pattern.method)
