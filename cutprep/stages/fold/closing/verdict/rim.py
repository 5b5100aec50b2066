"""An opening of a folded part: the edges round it, and what rises above it."""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.contact import Stretch
from cutprep.stages.fold.closing.verdict.state import PanelSide


@dataclass(frozen=True, slots=True, eq=False)
class Rim:
    """A loop of open stretches.

    Attributes
    ----------
    stretches
        Sides and where on them, in no order.
    bend
        How far the corners between panels are from one plane, mm.
    headers
        Panels that rise above the plane of the rim.
    length, width
        Length, and twice the area it spans over half its length, mm.
    corners
        Where it goes from one panel to the next, (n, 3).
    profiles
        Two panels that face one another and rise and fall alike along it, if any: it is uneven.
    """

    stretches: tuple[tuple[PanelSide, Stretch], ...]
    bend: float
    headers: tuple[int, ...]
    length: float
    width: float
    corners: Points
    profiles: tuple[int, ...] = ()

    @property
    def is_crown(self) -> bool:
        """Whether every panel round an opening rises above it."""
        return bool(len(self.corners)) and set(self.headers) == {s.panel for s, _ in self.stretches}
