"""What a nest is asked for beside the copies and the sheets; every default stands here only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from cutprep.tolerance import STANDARD, Tolerance

if TYPE_CHECKING:  # the command line reads the defaults, and must not load shapely for them
    import shapely

#: How copies may be turned.
Turns = Literal["never", "half", "quarter", "free"]
USUAL_TURNS: Turns = "quarter"
#: An area of the sheet: left, bottom, right, top of a rectangle, or any polygon; mm.
Area: TypeAlias = "tuple[float, float, float, float] | shapely.Polygon"


@dataclass(frozen=True, slots=True)
class Nesting:
    """How copies are laid on sheets.

    Attributes
    ----------
    margin, gap
        Border kept free, and least distance between parts, mm.
    grain
        Direction of the card's grain on the sheet, degrees from x, or None.
    keep_out
        Areas that stay free on every sheet: rectangles (left, bottom, right, top) or polygons, mm.
    windows
        Parts may lie in the waste windows of others.
    share_cuts
        With gap 0, cut facing straight edges of neighbours once.
    effort
        "quick" (regular patterns and placing one by one), "normal" (searches for a sheet less, and
        asks the irregular packer), "thorough" (more of both).
    seed
        Same seed, same layout; work is counted, not timed.
    stock
        Name of the card for the sheets.
    tolerance
        `doubled_run` is the shortest edge that is shared.
    """

    margin: float = 5.0
    gap: float = 3.0
    grain: float | None = None
    keep_out: tuple[Area, ...] = ()
    windows: bool = False
    share_cuts: bool = True
    effort: str = "normal"
    seed: int = 0
    stock: str = ""
    tolerance: Tolerance = STANDARD


#: What is taken when nothing else is said.
USUAL = Nesting()


@dataclass(frozen=True, slots=True)
class AlignmentLimits:
    """What is still a sheet that lies askew, and no slip in a point; common practice, no published source.

    Attributes
    ----------
    off
        How far a point may be off after the fit, mm.
    scale
        How much larger or smaller the sheet may be than the plan, percent.
    skew
        How far its axes may be from a right angle, degrees.
    """

    off: float = 0.5
    scale: float = 0.5
    skew: float = 0.2


#: What is taken when nothing else is said.
USUAL_LIMITS = AlignmentLimits()
