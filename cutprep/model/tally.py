"""What an order of work costs: strokes, travel and tear exposure, for several orders side by side."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tally:
    """Figures of one order.

    Attributes
    ----------
    strokes
        How many strokes are worked.
    lifts
        How often the tool is raised: strokes that do not begin where the one before ended.
    travel
        Length with the tool up, from home and back home, mm.
    loose
        Length cut on pieces whose outline is closed already, mm.
    running
        Weighted length cut towards a point, mm.
    corners
        Three millimetres for each outline that starts at a corner without need.
    """

    strokes: int
    lifts: int
    travel: float
    loose: float = 0.0
    running: float = 0.0
    corners: float = 0.0

    @property
    def exposure(self) -> float:
        """Tear exposure, mm; lower is better."""
        return self.loose + self.running + self.corners


@dataclass(frozen=True, slots=True)
class OrderReport:
    """The planned order beside its rivals, all of them keeping the stages but the first.

    Attributes
    ----------
    drawn
        Lines in the order and direction of the drawing.
    nearest
        Always the nearest end next.
    travel_only
        The shortest travel that was found, tear left out of account.
    planned
        What is handed on.
    changes
        Tool changes after the first tool.
    method
        How the order was found, in a few words.
    failed
        Why the search broke down, when it did and the plain order stands in place of its own.
    """

    drawn: Tally
    nearest: Tally
    travel_only: Tally
    planned: Tally
    changes: int = 0
    method: str = ""
    failed: str = ""
