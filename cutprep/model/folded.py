"""What folding a drawing on the screen gives: panels, hinges, seams, sizes and a verdict.

Terms. A *panel* is a region of card bounded by cuts and scores. A *hinge* is a score shared by
two panels. A *mate* is a pair of panel sides that meet when the part is folded (a seam). A
*flap* is a panel that only serves to glue or tuck: it lies flat on the panel its hinge meets. A
*gusset half* is one of two mirrored panels that fold between two walls, as in a webbed corner.
The *shell* is what encloses the room: the panels left when every panel that lies flat on another
is taken away. Those lie in *layers*: 1 on the shell, 2 on a flap of layer 1, and so on. A *duty*
is what a panel is for, read off the folded part. A *feature* is a line or an opening that takes
no part in closing: a tear line, a window, a score for show. A *fold angle* is how far a hinge is turned out of flat: 0 flat, 90 a box corner, positive for a
valley (towards the viewer of the drawing).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from cutprep.model.duties import Duty, Fastening, Feature
from cutprep.model.findings.finding import Finding, Findings, Severity
from cutprep.model.lines import Index, Points
from cutprep.model.operation import Fold


class Verdict(Enum):
    """What becomes of the part when it is folded."""

    CLOSED = "closed solid"
    OPEN_BOX = "open box, flat rim"
    UNEVEN = "open box, uneven rim"
    OPEN_EDGES = "open edges, rim not flat"
    GAP = "does not close"
    NOT_CONVEX = "closes, but not as a convex box"
    CANNOT_FOLD = "cannot fold"
    CANNOT_INFER = "cannot infer: declare mates"
    CURVED = "not checked (curved score)"
    FAULTY = "not checked (outline open)"
    NOT_SOLVED = "not solved"
    MOVABLE = "movable: its size isn't fixed by its folds"
    TWO_WAYS = "two ways to fold it"
    FOLDED_OVER = "folds flat, layer on layer"
    LEAF = "folds, nothing to close"
    FLAT = "flat, no score"


#: Verdicts of a part that does what a maker wants of it.
GOOD = frozenset(
    {
        Verdict.CLOSED,
        Verdict.OPEN_BOX,
        Verdict.UNEVEN,
        Verdict.MOVABLE,
        Verdict.FOLDED_OVER,
        Verdict.LEAF,
        Verdict.FLAT,
    }
)
#: Verdicts that say nothing about closing.
UNCHECKED = frozenset(
    {
        Verdict.CURVED,
        Verdict.FAULTY,
        Verdict.NOT_SOLVED,
        Verdict.TWO_WAYS,
        Verdict.CANNOT_INFER,
        Verdict.LEAF,
        Verdict.FLAT,
    }
)

#: Verdicts of a part whose seams meet.
CLOSING = frozenset(
    {
        Verdict.CLOSED,
        Verdict.OPEN_BOX,
        Verdict.UNEVEN,
        Verdict.MOVABLE,
        Verdict.FOLDED_OVER,
        Verdict.OPEN_EDGES,
        Verdict.NOT_CONVEX,
    }
)


class Certainty(Enum):
    """How the result came about."""

    DECLARED = "declared"
    INFERRED = "inferred"
    AMBIGUOUS = "ambiguous"


class Role(Enum):
    """What a panel does, in a word for pictures; its `Duty` tells it closer."""

    BODY = "body"
    FLAP = "flap"
    GUSSET = "gusset half"


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """A region of card between cuts and scores.

    Attributes
    ----------
    name
        A, B, C ... from the largest to the smallest.
    outline
        (n, 2) ndarray of float: closed, counter-clockwise, mm in the drawing.
    holes
        Windows in it, closed, clockwise.
    inner_point
        A point of the panel away from its edges, mm.
    duty
        What it is for.
    layer
        0 in the shell, 1 on it, 2 on a panel of layer 1 ...
    """

    name: str
    outline: Points
    holes: tuple[Points, ...] = ()
    role: Role = Role.BODY

    inner_point: tuple[float, float] = (0.0, 0.0)
    duty: Duty = Duty.WALL
    layer: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Hinge:
    """A score between two panels.

    Attributes
    ----------
    a, b
        Panel numbers; b lies left of the run from the first end to the second.
    ends
        (2, 2) ndarray of float, mm in the drawing.
    joined
        Length along which the panels hold together, mm; less than the distance of the ends
        where a slot interrupts the score.
    fold
        As drawn.
    declared
        Fold angle said by the maker, degrees, or None.
    angle
        Fold angle found, degrees, positive for a valley; NaN when not found.
    held
        False when the finished part leaves this hinge free to move.
    kind
        "straight", "curved" or "bent".
    """

    a: int
    b: int
    ends: Points
    joined: float
    fold: Fold = Fold.UNSAID
    declared: float | None = None
    angle: float = np.nan
    held: bool = True
    kind: str = "straight"

    @property
    def length(self) -> float:
        """Distance of the ends, mm."""
        return float(np.hypot(*(self.ends[1] - self.ends[0])))


@dataclass(frozen=True, slots=True, eq=False)
class Mate:
    """Two panel sides that meet.

    Attributes
    ----------
    panel_a, panel_b
        Panel numbers.
    side_a, side_b
        (2, 2) ndarray of float each: ends in the drawing, mm, such that the first of one meets
        the first of the other.
    source
        "declared" or "inferred".
    gap
        Largest distance between corresponding points when folded, mm (the seam error).
    """

    panel_a: int
    panel_b: int
    side_a: Points
    side_b: Points
    source: str = "inferred"
    gap: float = np.nan

    @property
    def length_difference(self) -> float:
        """How much longer the side of `panel_a` is, mm."""
        long, short = (float(np.hypot(*(s[1] - s[0]))) for s in (self.side_a, self.side_b))
        return long - short


@dataclass(frozen=True, slots=True)
class Flap:
    """A flap and where it goes.

    Attributes
    ----------
    panel, on
        The flap and the panel it hangs on.
    target
        The panel it lies on when folded, or None when it meets nothing.
    depth
        How far it reaches from its hinge, mm.
    overhang
        How far it sticks out beyond its target, mm.
    duty
        What it is for.
    fastening
        How it stays where it lies.
    layer
        1 on the shell, 2 on a panel of layer 1 ...; 0 when it lies on nothing.
    lies_on
        All panels it lies on, the one with the largest common area first.
    """

    panel: int
    on: int
    target: int | None
    depth: float
    overhang: float = 0.0
    source: str = "inferred"
    duty: Duty = Duty.GLUE_FLAP
    fastening: Fastening = Fastening.GLUED
    layer: int = 1
    lies_on: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Gusset:
    """Two mirrored halves between two walls; the second is None at an open seam."""

    half_a: int
    half_b: int | None
    joins: tuple[int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """How the panels hang on one another, and their fold angles from flat to folded.

    Attributes
    ----------
    order
        (p,) ndarray of int: panels, each after the one it hangs on.
    parent, via
        (p,) ndarray of int each: the panel it hangs on and the hinge between; -1 for the first.
    fractions
        (f,) ndarray of float: 0 flat ... 1 folded.
    angles
        (f, h) ndarray of float: degrees, for every hinge.
    """

    order: Index
    parent: Index
    via: Index
    fractions: Points
    angles: Points


@dataclass(frozen=True, slots=True)
class Corner:
    """An inner vertex of the flat drawing, where only scores meet.

    Attributes
    ----------
    xy
        Where, mm.
    degree
        Number of scores.
    kawasaki
        Alternating sum of the sector angles, degrees; 0 when it can fold flat.
    maekawa
        Mountains less valleys, or None when a fold is unsaid.
    word
        "may fold flat", "does not fold flat" or "cannot fold".
    """

    xy: tuple[float, float]
    degree: int
    kawasaki: float
    maekawa: int | None
    word: str


@dataclass(frozen=True, slots=True, eq=False)
class FoldReport:
    """Everything found out about one part.

    Attributes
    ----------
    messages
        Findings, ordered by cause.
    piece
        What the drawing calls the part, where it has several and calls them each otherwise; else empty.
    tolerance_used
        Distance within which line ends were taken for one, mm.
    gap
        Largest seam error, mm.
    allowed_gap
        Largest seam error that counts as closed, mm.
    concavity
        How far the folded body is from convex, mm.
    open_sides, open_length
        Sides that meet nothing (the rim), and their length, mm.
    inside_mm
        Inside length, width, height at the given thickness, mm, or None when unknown.
    drawn_mm
        The same for card without thickness.
    rim_mm
        Inside length and width at the rim and at the base of a tapered box, or None.
    inside_planes
        (k, 4) ndarray of float: the room inside as half-spaces n.x <= d, outward normals, in a
        frame whose z is the base panel's inward normal; empty when unknown.
    volume_mm3
        Enclosed volume at no thickness, mm3; 0 when nothing is enclosed.
    motion
        Angles from flat to folded, for pictures.
    base
        The panel that stays in the plane of the drawing.
    up
        Direction from the base into the part, in the space of the folded panels.
    inside_up
        The side of the card that the viewer sees becomes the inside.
    example
        The sizes are an example: the part is movable, and its regular position is shown.
    approximate
        Curves are folded as chords: sizes and angles near them are approximate.
    features
        Lines and openings that take no part in closing.
    alternatives
        The other ways that are as good, when there are two or more.
    """

    name: str
    verdict: Verdict
    certainty: Certainty = Certainty.INFERRED
    messages: Findings = ()
    piece: str = ""
    tolerance_used: float = 0.0
    panels: tuple[Panel, ...] = ()
    hinges: tuple[Hinge, ...] = ()
    mates: tuple[Mate, ...] = ()
    flaps: tuple[Flap, ...] = ()
    gussets: tuple[Gusset, ...] = ()
    corners: tuple[Corner, ...] = ()
    gap: float = np.nan
    allowed_gap: float = np.nan
    concavity: float = 0.0
    open_sides: int = 0
    open_length: float = 0.0
    thickness: float = 0.0
    inside_mm: tuple[float, float, float] | None = None
    drawn_mm: tuple[float, float, float] | None = None
    rim_mm: tuple[tuple[float, float], tuple[float, float]] | None = None
    inside_planes: Points = field(default_factory=lambda: np.empty((0, 4)))
    volume_mm3: float = 0.0
    motion: Motion | None = None
    base: int = 0
    inside_up: bool = True
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)
    example: bool = False
    approximate: bool = False
    features: tuple[Feature, ...] = ()
    alternatives: tuple[FoldReport, ...] = ()

    @property
    def closes(self) -> bool | None:
        """Whether all seams meet; None when that was not checked or there is nothing to close."""
        if self.verdict in UNCHECKED:
            return None
        return self.verdict in CLOSING

    @property
    def ok(self) -> bool:
        """Whether the part folds up as wanted, without a guess, and its drawing has no error."""
        if self.verdict not in GOOD or self.certainty is Certainty.AMBIGUOUS:
            return False
        return not any(m.severity is Severity.ERROR for m in self.messages)

    def found(self, code: str) -> tuple[Finding, ...]:
        """The messages of one code."""
        return tuple(m for m in self.messages if m.code == code)
