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
    found += [text for piece in one.pieces if not _holder(piece, by_name).takes for text in _stood(piece)]
    return tuple(found)


def _holder(piece: SetPiece, by_name: dict[str, SetPiece]) -> SetPiece:
    """What a divider or liner stands in; the piece itself where it stands in nothing."""
    return by_name.get(piece.stands_in, piece)


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
            yield from _stood(other)
    columns, rows, layers = piece.grid
    count = math.prod(piece.grid)
    inner = f"the {piece.takes}" if count == 1 else f"{count} x {piece.takes}"
    if piece.kind in _ROUND:
        yield _ROUND[piece.kind].format(inner=inner, outer=f"the {piece.name}")
        return
    across = f"{columns} along its length and {rows} across" if columns * rows > 1 else ""
    high = f"{layers} on one another" if layers > 1 else ""
    how = ", ".join(filter(None, (across, high)))
    cells = (
        ", one in each cell"
        if any(p.stands_in == piece.name for p in one.pieces) and not _flat(piece)
        else ""
    )
    text = f"Put {inner} into the {piece.name}{f', {how}' if how else ''}{cells}"
    glued = "" if _flat(piece) or not shut else _UNGLUED
    yield f"{text}{f', then {shut}' if shut else ''}{glued}."


def _flat(piece: SetPiece) -> bool:
    return piece.kind == "envelope"


def _stood(piece: SetPiece) -> Iterator[str]:
    """Stand a divider in its tray, or line an envelope."""
    if piece.stands_in and piece.kind == LINER:
        yield (
            f"Slide the {piece.name} into the {piece.stands_in} until it stands on the bottom fold, glue its flap to the inside of "
            f"the flap of the {piece.stands_in}, and crease both together."
        )
    elif piece.stands_in:
        yield f"Stand the {piece.name}, its strips pushed into each other, in the {piece.stands_in}."
