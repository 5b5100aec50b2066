"""All steps of a template: blank, scores, cuts and creases of each piece, how it is put together, and all pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.model.folded import Verdict
from cutprep.model.operation import Fold, Operation
from cutprep.report.hands.assembly.order import Assembly, assembly
from cutprep.report.hands.assembly.way import Beside, Do, Step, listed, many
from cutprep.report.hands.pieces import Piece
from cutprep.report.hands.ruler import RulerScale, scale
from cutprep.report.hands.scores import ScoreRow, score_rows
from cutprep.report.hands.slots import Slot, slots_of
from cutprep.report.hands.together import Company

#: Edges that lie across from each other: slots from both hook into one another.
_ACROSS = ({"lower", "upper"}, {"left", "right"})
#: A slit that begins nearer to the outline than this begins at it, mm.
_AT_EDGE = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class PieceWork:
    """One piece with everything that hands need to know of it.

    Attributes
    ----------
    title
        The piece's name, with what it is where that is known.
    across, upward
        Marks along the lower and along the left edge.
    prepared
        Steps up to the creased blank: with a machine the ones before the creasing fall away.
    built
        What folding tells of putting it together.
    """

    piece: Piece
    title: str
    rows: tuple[ScoreRow, ...]
    slots: tuple[Slot, ...]
    across: RulerScale
    upward: RulerScale
    prepared: tuple[Step, ...]
    built: Assembly

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps of the piece."""
        return self.prepared + self.built.steps


def work_of(piece: Piece, title: str, within: float, beside: Beside = Beside.NOTHING) -> PieceWork:
    """Work out one piece.

    Parameters
    ----------
    within
        Scores within this distance share a setting of the board, mm.
    beside
        What else it has to do with.
    """
    rows, slots = score_rows(piece, within), slots_of(piece.lines)
    width, height = piece.size
    across = [r.at for r in rows if r.kind == "left"]
    upward = [r.at for r in rows if r.kind == "lower"]
    for slot in slots:
        (across if slot.side in ("upper", "lower") else upward).append(slot.at)
    scales = scale([*across, width]), scale([*upward, height])
    built = Assembly((), (0.0, 0.0, 1.0))
    if piece.report is not None:
        built = assembly(piece.report, beside, locks={slot.side for slot in slots} in _ACROSS)
        if piece.report.hinges and not built.steps:
            built = Assembly((Step(Do.FOLD, _unknown(piece.report.verdict)),), built.up)
    return PieceWork(piece, title, rows, slots, *scales, _prepared(piece, rows, slots, *scales), built)


def _unknown(verdict: Verdict) -> str:
    return (
        f"How it closes is not known (folding it on the screen says: {verdict.value}), so fold one by hand before you make "
        "the rest."
    )


def _prepared(
    piece: Piece, rows: Sequence[ScoreRow], slots: Sequence[Slot], across: RulerScale, upward: RulerScale
) -> tuple[Step, ...]:
    """From the card to the creased blank; scoring comes before cutting, so that nothing shifts."""
    width, height = piece.size
    blanks = "a blank" if piece.alike == 1 else f"{piece.alike} blanks, each"
    size = f"{across.both(width)} wide and {upward.both(height)} high"
    steps = [Step(Do.BLANK, f"Cut {blanks} {size}.")]
    for kinds, how in (
        (("left", "lower"), "at the distances of the table, while the card is flat and whole"),
        (("slanting",), "along a ruler from end to end, by the table"),
        (("curve",), "with a compass or along the traced template, by the table"),
    ):
        for broken, do in ((False, "Score"), (True, "Perforate")):
            mine = [i for i, r in enumerate(rows, 1) if r.kind in kinds and r.perforated == broken]
            if mine:
                said = how if len(mine) > 1 else how.replace("distances", "distance")
                text = f"{do} {numbered(mine, 'line')} {said}."
                steps.append(Step(Do.SCORE, text, scores=tuple(mine)))
    openings = int((piece.lines.closed & (piece.lines.operation == Operation.CUT)).sum()) - 1
    if openings > 0:
        which = "the opening" if openings == 1 else f"the {openings} openings"
        order = "" if openings == 1 else ", from the middle outwards,"
        steps.append(
            Step(Do.OPENINGS, f"Cut {which} inside{order} while the card around still holds together.")
        )
    for slits, where in zip(_slits(piece), ("inside", "in from the edge"), strict=True):
        if slits:
            which = "the slit" if slits == 1 else f"the {slits} slits"
            steps.append(Step(Do.OPENINGS, f"Cut {which} {where} along a ruler."))
    count = f"{len(slots)} slots" if len(slots) > 1 else "slot"
    slotted = f", with the {count} of the table" if slots else ""
    steps.append(Step(Do.OUTLINE, f"Cut out along the solid line{slotted}."))
    return (*steps, *_creases(rows))


def _slits(piece: Piece) -> tuple[int, int]:
    """How many cuts are no openings, inside and from the edge; none are told where the outline itself is drawn in pieces."""
    cuts = piece.lines.take(piece.lines.operation == Operation.CUT)
    closed = cuts.closed
    whole = np.flatnonzero(closed & np.isclose(cuts.boxes, piece.lines.bounds).all(axis=1))
    if not len(whole):
        return 0, 0
    edge = shapely.linearrings(cuts.points(int(whole[0])))
    slits = [cuts.points(k)[[0, -1]] for k in np.flatnonzero(~closed).tolist()]
    touching = sum(bool((shapely.distance(edge, shapely.points(ends)) < _AT_EDGE).any()) for ends in slits)
    return len(slits) - touching, touching


def _creases(rows: Sequence[ScoreRow]) -> list[Step]:
    found = []
    for fold, way in (
        (Fold.VALLEY, ("into a valley, towards you", "into valleys, towards you")),
        (Fold.MOUNTAIN, ("into a mountain, away from you", "into mountains, away from you")),
        (Fold.UNSAID, ("the way the picture shows",) * 2),
    ):
        # A perforation that says no direction is there to tear along.
        torn = [r.perforated and r.fold == Fold.UNSAID for r in rows]
        mine = [
            i
            for i, (r, tears) in enumerate(zip(rows, torn, strict=True), 1)
            if r.fold == fold and r.kind != "curve" and not tears
        ]
        if mine:
            text = f"Fold {numbered(mine)} {way[len(mine) > 1]}, crease with a bone folder, and let the card spring back."
            found.append(Step(Do.CREASE, text, scores=tuple(mine)))
    return found


def numbered(numbers: Sequence[int], word: str = "score") -> str:
    """Numbers of scores in words: `score 1`, `scores 1 to 4 and 7`."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][1] + 1:
            runs[-1][1] = n
        else:
            runs.append([n, n])
    words: list[str] = []
    for a, b in runs:
        words += [f"{a} to {b}"] if b > a + 1 else [str(n) for n in range(a, b + 1)]
    return f"{many(word, len(numbers))} {listed(words)}"


def works_of(pieces: Sequence[Piece], within: float) -> tuple[tuple[PieceWork, ...], tuple[Step, ...]]:
    """Work out every piece of a template, and how the pieces come together."""
    company = Company(tuple(pieces))
    works = tuple(
        work_of(piece, company.title(i), within, company.beside(i)) for i, piece in enumerate(pieces)
    )
    return works, company.steps()
