"""The pieces of a set worked out from the innermost outwards: outside of what goes in, play, layers of card.

Room for a grid of pieces = their outside side by side, play on each side, and the layers of card that lie inside; with a
divider between them each stands in a cell of its own, with play all round and a strip of card between (common practice, no
published source).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cutprep import units
from cutprep.errors import CutprepError, JobError
from cutprep.geometry.affine import shift
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.profile import shelf
from cutprep.template.dimensions import Values, said
from cutprep.template.family.hollow import HOLLOW, Size
from cutprep.template.family.pieces import LINER, PieceSet, SetPiece
from cutprep.template.kinds import KINDS
from cutprep.template.remedy import draw_or_advise

#: Card of a set that says nothing of it, mm.
_USUAL = 0.3
#: Distance of pieces on one drawing, mm.
_APART = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class FittedPiece:
    """A piece of a set, drawn.

    Attributes
    ----------
    piece
        As the set says.
    count
        How many the set has.
    values
        All its dimensions, mm or counts.
    drawing
        Its drawing.
    caliper
        Thickness of its card, mm.
    play
        Room on each side of what it takes, mm.
    """

    piece: SetPiece
    count: int
    values: Values
    drawing: Drawing
    caliper: float
    play: float


def fit_set(one: PieceSet) -> tuple[FittedPiece, ...]:
    """Work out and draw every piece, in the order of the table.

    Raises
    ------
    JobError
        When pieces go into each other in a circle, a dimension can't be, or a card is not known; in the unit of the set.
    """
    by_name = {piece.name: piece for piece in one.pieces}
    found: dict[str, FittedPiece] = {}

    def fit_piece(name: str, around: tuple[str, ...]) -> FittedPiece:
        if name in around:
            raise JobError(
                f"{', '.join(f'{p!r}' for p in around)} go into each other in a circle",
                fix="Let one of them take nothing, and say its dimensions.",
            )
        if name not in found:
            piece = by_name[name]
            needs = [fit_piece(other, (*around, name)) for other in (piece.takes, piece.stands_in) if other]
            try:
                found[name] = _fitted(one, piece, needs[0] if needs else None)
            except CutprepError as fault:
                raise JobError(f"the piece '{name}': {fault.problem}", fix=fault.fix) from None
        return found[name]

    with units.told_in(one.unit, exact=True):
        return tuple(fit_piece(piece.name, ()) for piece in one.pieces)


def _fitted(one: PieceSet, piece: SetPiece, other: FittedPiece | None) -> FittedPiece:
    kind = KINDS[piece.kind]
    known = {d.name: d for d in kind.all_dimensions}
    given = {key: said(known[key], word) for key, word in piece.words}
    caliper, play = _caliper(one, piece), units.length(piece.play or one.play)
    if "caliper" in known:
        given.setdefault("caliper", caliper)
        caliper = float(given["caliper"])
    if "play" in known and not piece.stands_in:
        given.setdefault("play", play)
    if other is not None and piece.takes:
        for key, room in _room(one, piece, other, caliper, play).items():
            given.setdefault(key, room)
    elif other is not None:
        given = {**_between(piece, other, play), **given}
    given = {**kind.usual(dict(piece.words), one.unit), **given}
    drawing = draw_or_advise(kind, given, one.unit)
    return FittedPiece(piece, count_of(one, piece), kind.values(**given), drawing, caliper, play)


def count_of(one: PieceSet, piece: SetPiece) -> int:
    """How many of a piece the set has: as many as it says, as what takes it has room for, or one for each that it stands in.

    Raises
    ------
    JobError
        When both are said, and differ.
    """
    takers = [other for other in one.pieces if other.takes == piece.name]
    room = sum(math.prod(other.grid) * count_of(one, other) for other in takers)
    if piece.count and takers and piece.count != room:
        raise JobError(
            f"the set has {piece.count} of it, and '{takers[0].name}' takes {room}",
            fix="Leave its count out, or change the columns, rows and layers of what takes it.",
        )
    held = sum(count_of(one, other) for other in one.pieces if other.name == piece.stands_in)
    return piece.count or room or held or 1


def _caliper(one: PieceSet, piece: SetPiece) -> float:
    """The set's caliper, that of the piece's card, or the usual one, mm."""
    if one.caliper:
        return units.length(one.caliper)
    return shelf.stock(piece.stock).caliper if piece.stock else _USUAL


def _room(
    one: PieceSet, piece: SetPiece, inner: FittedPiece, caliper: float, play: float
) -> dict[str, float]:
    """Dimensions that make room for what a piece takes, mm; kept to a thousandth, which no card feels."""
    hollow = HOLLOW[piece.kind]
    outside = outside_of(inner)
    strip = next((_caliper(one, p) for p in one.pieces if p.stands_in == piece.name), None)
    found = {}
    for axis, key in enumerate(hollow.room):
        if not key:
            continue
        count, size = piece.grid[axis], outside[axis]
        room = count * size + hollow.layers[axis] * caliper
        if hollow.snug[axis]:
            room += 2 * play
            if strip is not None and axis < 2:
                room += (count - 1) * (strip + 2 * play)
        found[key] = round(room + 0.0005, 3)  # not a tolerance: rounded up to a thousandth of a millimetre
    return found


def outside_of(one: FittedPiece) -> Size:
    """Length, width and height that a piece takes up when it is made, mm.

    Raises
    ------
    JobError
        When that is not known of its kind.
    """
    hollow = HOLLOW.get(one.piece.kind)
    if hollow is None:
        raise JobError(
            f"how much room {units.with_article(one.piece.kind)} takes is not known",
            fix=f"These can go into another piece: {', '.join(HOLLOW)}.",
        )
    # Cards and envelopes have no caliper of their own: theirs is that of the set.
    return hollow.outside(Values({"caliper": one.caliper} | one.values))


def _between(piece: SetPiece, tray: FittedPiece, play: float) -> dict[str, float]:
    """Dimensions of a divider for the grid of a tray, mm: its inside less the layers in it, and play at each end; or of a liner."""
    d, layers = tray.values, HOLLOW[tray.piece.kind].layers
    if piece.kind == LINER:
        return {key: d[key] for key in ("width", "height", "play", "overlap")}
    columns, rows, _ = tray.piece.grid
    return {
        "length": d["length"] - layers[0] * tray.caliper - 2 * play,
        "width": d["width"] - layers[1] * tray.caliper - 2 * play,
        "height": d["height"],
        "columns": float(columns),
        "rows": float(rows),
    }


def side_by_side(one: PieceSet, fitted: Sequence[FittedPiece]) -> Drawing:
    """All pieces on one drawing, each once, one above the other."""
    blocks, names, top = [], [], 0.0
    for fit in fitted:
        _, _, _, height = fit.drawing.lines.bounds
        blocks.append(fit.drawing.lines.transform(shift(0.0, top)))
        top += height + _APART
        names.append(f"{fit.count} x {fit.piece.name}")
    lines = Lines.concat(blocks)
    _, _, right, high = lines.bounds
    return Drawing(
        one.title,
        lines,
        page=(right, high),
        scale_note=f"drawn from dimensions in mm; for a set: {', '.join(names)}",
    )
