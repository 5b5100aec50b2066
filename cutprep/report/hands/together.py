"""How the pieces of a template come together, read off their sizes when they are folded: lid over tray, drawer in sleeve, frame in a base.

What goes over a piece is a little larger inside than that piece is outside. All of it is common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, permutations

import numpy as np
import shapely

from cutprep.model.folded import Verdict
from cutprep.model.lines import Points
from cutprep.model.operation import Operation
from cutprep.report.hands.assembly.structure import PanelTree
from cutprep.report.hands.assembly.tube_parts import tube_of
from cutprep.report.hands.assembly.way import Beside, Do, Step, listed
from cutprep.report.hands.pieces import Piece, called
from cutprep.report.hands.slots import slots_of

#: What goes over a piece is at most so much larger inside than the piece is outside, mm.
_PLAY = 6.0
#: What is drawn to fit exactly does fit, mm.
_EXACT = 1e-3  # not a tolerance: rounding of the folded sizes
#: A tube that reaches over less of a box than this share of it is slid over it; into a longer one the box is slid.
_BAND = 0.7
#: Sides and diameters that differ by less are equal, mm; a small hole drawn in chords has a circle's area to this share.
_SAME, _ROUND = 0.1, 0.08


@dataclass(frozen=True, slots=True)
class Solid:
    """A folded piece that has room inside.

    Attributes
    ----------
    number
        Which of the pieces.
    section
        Sizes of its room seen along its height, the smaller ones first, mm; one size for a piece that is no box.
    height
        Inside, of a tube its length, mm.
    caliper
        Of its card, mm.
    shut, tube, loose
        Whether it is closed all round, open at both ends, and whether nothing holds its walls to each other.
    """

    number: int
    section: tuple[float, ...]
    height: float
    caliper: float
    shut: bool
    tube: bool
    loose: bool


def _solid(number: int, piece: Piece) -> Solid | None:
    report = piece.report
    if report is None or report.verdict not in {Verdict.OPEN_BOX, Verdict.CLOSED}:
        return None
    if report.inside_mm is not None:
        *section, height = report.inside_mm
    else:  # no box: a circle as large as its base
        area = float(shapely.Polygon(report.panels[report.base].outline).area)
        section, height = [2 * float(np.sqrt(area / np.pi))], report.volume_mm3 / area
    tube = tube_of(PanelTree(report))
    return Solid(
        number,
        tuple(sorted(section)),
        height,
        report.thickness,
        report.verdict is Verdict.CLOSED,
        tube is not None and all(end.open for end in tube.ends),
        not report.flaps,
    )


def _room(outer: Solid, section: Sequence[float]) -> tuple[float, ...] | None:
    """What is left between the inside of a piece and the outside of a section, both sides together, mm; None where it is no fit."""
    if len(outer.section) != len(section):
        return None
    room = tuple(a - b - 2 * outer.caliper for a, b in zip(outer.section, section, strict=True))
    return room if all(-_EXACT <= one <= _PLAY for one in room) else None


@dataclass(frozen=True)
class Company:
    """The pieces of a template, and which belong to which.

    Attributes
    ----------
    pieces
        In the order of the drawing.
    """

    pieces: tuple[Piece, ...]

    @cached_property
    def solids(self) -> tuple[Solid, ...]:
        """Those with room inside."""
        every = [_solid(i, piece) for i, piece in enumerate(self.pieces)] if len(self.pieces) > 1 else []
        return tuple(one for one in every if one is not None)

    @cached_property
    def shoulder(self) -> tuple[Solid, Solid, Solid] | None:
        """A frame with the base and the lid that both go over it."""
        for frame in self.solids:
            over = [one for one in self._boxes if _room(one, frame.section) is not None]
            if frame.tube and len(over) == 2 and frame.height > min(one.height for one in over):
                over.sort(key=lambda one: (self.pieces[one.number].label == "lid", -one.height, one.number))
                return frame, over[0], over[1]
        return None

    @cached_property
    def lids(self) -> tuple[tuple[Solid, Solid], ...]:
        """Pairs of an open box and the lower one that slips over it, the closest ones first."""
        if self.shoulder is not None:
            return ()
        fits = [
            (max(room), over, under)
            for over, under in permutations(self._boxes, 2)
            if over.height <= under.height + under.caliper
            and (room := _room(over, under.section)) is not None
        ]
        found: list[tuple[Solid, Solid]] = []
        for _, over, under in sorted(fits, key=lambda row: (row[0], row[1].number, row[2].number)):
            if not any({over, under} & {*pair} for pair in found):
                found.append((over, under))
        return tuple(found)

    @cached_property
    def sleeves(self) -> tuple[tuple[Solid, Solid], ...]:
        """Pairs of a tube and what goes into it."""
        if self.shoulder is not None:
            return ()
        return tuple(
            (tube, box)
            for tube in self.solids
            for box in self.solids
            if tube.tube and not box.tube and any(_room(tube, ends) for ends, _ in _ways(box))
        )

    @cached_property
    def nested(self) -> tuple[Solid, ...]:
        """Boxes with loose walls that stand in one another under a lid, the largest first."""
        under = {box.number for _, box in self.lids if box.loose}
        loose = [one for one in self._boxes if one.loose]
        if not under:
            return ()
        return tuple(sorted(loose, key=lambda one: one.section, reverse=True))

    @cached_property
    def rings(self) -> tuple[tuple[int, int], ...]:
        """Pairs of a flat ring and the piece whose hole it strengthens."""
        holes = {i: _hole(piece) for i, piece in enumerate(self.pieces)} if len(self.pieces) > 1 else {}
        return tuple(
            (i, j)
            for i, own in holes.items()
            for j, other in holes.items()
            if i != j and own is not None and other is not None and own[1] and not other[1]
            if abs(own[0] - other[0]) < _SAME
        )

    @property
    def _boxes(self) -> tuple[Solid, ...]:
        return tuple(one for one in self.solids if not one.tube and not one.shut)

    def beside(self, number: int) -> Beside:
        """What else a piece has to do with."""
        if any(one.number == number for one in self.nested):
            return Beside.LID
        return Beside.PIECES if len(self.pieces) > 1 else Beside.NOTHING

    def title(self, number: int) -> str:
        """A piece's name and what it is, where that is known."""
        piece = self.pieces[number]
        if len(self.pieces) == 1:
            return piece.name
        words = {one.number: "lid" for pair in self.lids for one in pair[:1]}
        words |= {one.number: "tray" for pair in self.lids for one in pair[1:]}
        word = piece.label or words.get(number, "")
        return f"piece {number + 1}, {called(word)}" if word else f"piece {number + 1}"

    def steps(self) -> tuple[Step, ...]:
        """How the pieces come together; none where their sizes tell nothing."""
        if sum(piece.alike for piece in self.pieces if slots_of(piece.lines)) > 1:
            return (Step(Do.JOIN, self._crossed()),)
        texts = [*self._bases(), *self._framed()]
        for over, under in self.lids:
            texts.append(self._lidded(over, under))
        for tube, box in self.sleeves:
            texts.append(self._slid(tube, box))
        for ring, other in self.rings:
            texts.append(
                f"Glue {self.pieces[ring].name} onto {self.pieces[other].name} as a reinforcement, hole on hole."
            )
        return tuple(Step(Do.JOIN, text) for text in texts)

    def _name(self, one: Solid) -> str:
        return self.pieces[one.number].name

    def _framed(self) -> list[str]:
        if self.shoulder is None:
            return []
        frame, base, lid = map(self._name, self.shoulder)
        return [
            f"Push {frame} down into {base} until it stands on the bottom, and glue it to the walls of {base} there.",
            f"Put in what belongs inside, and slip {lid} over {frame}; the lid is not glued.",
        ]

    def _lidded(self, over: Solid, under: Solid) -> str:
        lid = self._name(over)
        if under not in self.nested:
            return f"Fill {self._name(under)} and slip {lid} over it; nothing is glued."
        walls = "its walls" if len(self.nested) == 1 else "the walls from the inside outwards"
        return f"Fill {self._name(self.nested[-1])}, stand up {walls} and slip {lid} over them; nothing is glued."

    def _slid(self, tube: Solid, box: Solid) -> str:
        long = next(length for ends, length in _ways(box) if _room(tube, ends))
        what = self._name(box)
        if tube.height < _BAND * long:
            return f"Fill {what}, close it and slide {self._name(tube)} over it; nothing is glued."
        return f"Fill {what} and slide it into {self._name(tube)}; nothing is glued."

    def _bases(self) -> list[str]:
        """Boxes with loose walls that stand in one another are glued base on base, the largest first."""
        if len(self.nested) < 2:
            return []
        names = [self._name(one) for one in self.nested]
        pairs = listed([f"that of {small} on that of {large}" for large, small in pairwise(names)])
        return [
            f"Glue the bases on one another, {pairs}, in the middle, so that all walls can still fall open."
        ]

    def _crossed(self) -> str:
        """Strips that are pushed into each other by their slots."""
        slotted = [(piece, slots) for piece in self.pieces if (slots := slots_of(piece.lines))]
        up = next((p for p, slots in slotted if slots[0].side in ("upper", "right")), slotted[0][0])
        others = [p for p, _ in slotted if p is not up]
        if not others:
            return "Push the pieces into each other, slot into slot, until their edges are level."
        its, it = ("its", "it") if up.alike == 1 else ("their", "them")
        return (
            f"Stand {_each(up)} up with {its} slots at the top, and push {listed([_each(p) for p in others])} down over {it}, "
            "slots downwards, slot into slot, until the lower edges are level."
        )


def _ways(box: Solid) -> tuple[tuple[tuple[float, ...], float], ...]:
    """Sections that a box may show as it slides, outside but for the two calipers that are counted round it, and how long it then is, mm."""
    if len(box.section) < 2:
        return ((box.section, box.height),)
    (a, b), h = box.section, box.height
    return (((a, b), h), (tuple(sorted((a, h))), b), (tuple(sorted((b, h))), a))


def _hole(piece: Piece) -> tuple[float, bool] | None:
    """Diameter of the only hole in a piece, mm, and whether the piece is a ring about it; None for another piece."""
    closed = piece.lines.take(piece.lines.closed & (piece.lines.operation == Operation.CUT))
    rings: list[Points] = sorted(
        (closed.points(i) for i in range(len(closed))), key=lambda ring: float(np.ptp(ring[:, 0]))
    )
    if len(rings) != 2 or not _is_round(rings[0]):
        return None
    middles = [(ring.min(axis=0) + ring.max(axis=0)) / 2 for ring in rings]
    ring = _is_round(rings[1]) and float(np.hypot(*(middles[1] - middles[0]))) < _SAME
    return float(np.ptp(rings[0][:, 0])), ring


def _is_round(ring: Points) -> bool:
    wide, high = np.ptp(ring, axis=0).tolist()
    disc = np.pi * wide * wide / 4
    return bool(abs(wide - high) < _SAME and abs(shapely.Polygon(ring).area - disc) < _ROUND * disc)


def _each(piece: Piece) -> str:
    return piece.name if piece.alike == 1 else f"the {piece.alike} of {piece.name}"
