"""A pattern: where copies lie on one sheet. Patterns are found once and used again for equal sheets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from cutprep.model.sheet import Placement
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.shape import Box, Shape, box_at


@dataclass(frozen=True, slots=True)
class PatternPlacement:
    """Where one copy lies: which demand, its pose, and where its origin goes, mm."""

    demand: int
    pose: Pose
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Pattern:
    """The copies on one sheet, and how they were found."""

    placements: tuple[PatternPlacement, ...]
    method: str

    def __len__(self) -> int:
        return len(self.placements)

    def counts(self, demands: int) -> tuple[int, ...]:
        """Copies of each demand."""
        tally = Counter(placement.demand for placement in self.placements)
        return tuple(tally[i] for i in range(demands))


def placement_box(placement: PatternPlacement, shapes: Sequence[Shape]) -> Box:
    """Left, bottom, right, top of a copy on the sheet, mm."""
    left, bottom, right, top = box_at(shapes[placement.demand], placement.pose)
    return left + placement.x, bottom + placement.y, right + placement.x, top + placement.y


def used_box(pattern: Pattern, shapes: Sequence[Shape]) -> Box:
    """The box around all copies of a pattern; zeros when there are none."""
    boxes = [placement_box(placement, shapes) for placement in pattern.placements]
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def numbered(
    pattern: Pattern, first: int = 1, sources: Sequence[tuple[int, int | None]] = ()
) -> tuple[Placement, ...]:
    """The copies as placements; copies are numbered on from `first`.

    Parameters
    ----------
    sources
        For each demand the template and the part that it stands for; a demand is its own template when
        empty.
    """
    placed = []
    for copy, placement in enumerate(pattern.placements, first):
        template, part = sources[placement.demand] if sources else (placement.demand, None)
        pose = placement.pose
        placed.append(Placement(template, placement.x, placement.y, pose.turn, pose.mirror, copy, part))
    return tuple(placed)


def tidied(pattern: Pattern, digits: int) -> Pattern:
    """The same pattern with rounded positions."""
    placements = tuple(
        PatternPlacement(s.demand, s.pose, round(s.x, digits) + 0.0, round(s.y, digits) + 0.0)
        for s in pattern.placements
    )
    return Pattern(placements, pattern.method)


def moved(pattern: Pattern, dx: float, dy: float) -> Pattern:
    """The same pattern shifted on the sheet."""
    return Pattern(
        tuple(PatternPlacement(s.demand, s.pose, s.x + dx, s.y + dy) for s in pattern.placements),
        pattern.method,
    )
