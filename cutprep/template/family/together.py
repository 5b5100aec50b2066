"""How the pieces of a set come together once each is made: in words, in an order in which it can be done.

What goes in comes before what takes it, a divider before what stands in its cells, and nothing is shut before it is filled.
All of it is common practice, no published source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutprep.template.family.fitting import count_of
from cutprep.template.family.pieces import LINER, PieceSet, SetPiece

#: How a kind is closed when it is filled; what stays open has no word.
_SHUT = {
    "tray-with-lid": "slip its lid over it",
    "hinged-box": "tuck its lid in",
    "tuck-carton": "tuck its upper end in",
    "prism-carton": "close its lid",
    "polygon-box": "slip its lid over it",
    "exploding-box": "stand up its walls and slip its lid over them",
    "drawer-and-sleeve": "slide the drawer into its sleeve",
    "envelope": "fold its flap down and seal it",
}
#: What is slid over what goes in, or laid round it.
_ROUND = {
    "sleeve": "Slide {inner} into {outer}; nothing is glued.",
    "band": "Lay {outer} round {inner}, glue its overlap to itself only, and slip it off to open.",
    "locked-band": "Lay {outer} round {inner} and push its slits into each other on top; nothing is glued.",
}
_UNGLUED = "; nothing is glued now"
#: What holds nothing that is put in.
_SOLID = frozenset({"folded-card", "place-card"})


def set_together(one: PieceSet) -> tuple[str, ...]:
    """Say how the pieces of a set come together; a sentence a step, none where nothing goes into anything."""
    by_name = {piece.name: piece for piece in one.pieces}
    found: list[str] = []
    done: set[str] = set()

    def assemble(piece: SetPiece) -> None:
        if piece.name in done:
            return
        done.add(piece.name)
        if piece.takes:
            assemble(by_name[piece.takes])
        found.extend(_steps(one, piece))

    for piece in one.pieces:
        if piece.takes:
            assemble(piece)
    for piece in one.pieces:
        holder = by_name.get(piece.stands_in)
        if holder is not None and not holder.takes:
            found += _stood(one, piece, holder)
    return tuple(found)


def _steps(one: PieceSet, piece: SetPiece) -> Iterator[str]:
    """Fill the innermost piece; or put into a piece what it takes, and shut it."""
    shut = _SHUT.get(piece.kind, "")
    if not piece.takes:
        if piece.kind not in _SOLID:
            each = "each " if count_of(one, piece) > 1 else "the "
            yield f"Fill {each}{piece.name}{f' and {shut}' if shut else ''}{_UNGLUED if shut else ''}."
        return
    for other in one.pieces:
        if other.stands_in == piece.name:
            yield from _stood(one, other, piece)
    columns, rows, layers = piece.grid
    count = math.prod(piece.grid)
    several = count_of(one, piece) > 1
    inner = f"{'one' if several else 'the'} {piece.takes}" if count == 1 else f"{count} x {piece.takes}"
    outer = f"{'each' if several else 'the'} {piece.name}"
    if piece.kind in _ROUND:
        yield _ROUND[piece.kind].format(inner=inner, outer=outer)
        return
    across = f"{columns} along its length and {rows} across" if columns * rows > 1 else ""
    high = f"{layers} on one another" if layers > 1 else ""
    how = ", ".join(filter(None, (across, high)))
    cells = (
        ", one in each cell"
        if any(p.stands_in == piece.name for p in one.pieces) and not _flat(piece)
        else ""
    )
    text = f"Put {inner} into {outer}{f', {how}' if how else ''}{cells}"
    glued = "" if _flat(piece) or not shut else _UNGLUED
    yield f"{text}{f', then {shut}' if shut else ''}{glued}."


def _flat(piece: SetPiece) -> bool:
    return piece.kind == "envelope"


def _stood(one: PieceSet, piece: SetPiece, holder: SetPiece) -> Iterator[str]:
    """Stand a divider in its tray, or line an envelope; each of several."""
    count, places = count_of(one, piece), count_of(one, holder)
    inner = f"{'the' if count == places == 1 else 'one' if count >= places else 'each'} {piece.name}"
    outer = f"{'the' if places == 1 else 'each' if count >= places else 'one'} {holder.name}"
    if piece.kind == LINER:
        yield (
            f"Slide {inner} into {outer} until it stands on the bottom fold, glue its flap to the inside of "
            f"the flap of the {holder.name}, and crease both together."
        )
    else:
        yield f"Stand {inner}, its strips pushed into each other, in {outer}."
