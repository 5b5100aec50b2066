"""A machine file, or a plan, as legs: each stroke with all that lies between the one before and it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutprep.model.lines import Points
from cutprep.model.moves import Moves
from cutprep.stages.readback.compare.runs import Stroke, strokes_of
from cutprep.stages.readback.held import Held, Said

#: Travels shorter than this are no way that anybody would see, mm; rounding makes such.
_NO_WAY = 0.1
GO = Said("go", (), 0)


@dataclass(frozen=True, slots=True, eq=False)
class Leg:
    """One stroke and the gap before it; the last leg is the way home and has no stroke.

    Attributes
    ----------
    stroke
        With the tool down, or None.
    way
        (n, 2) places of the tool from the end of the stroke before, mm.
    said
        What is said in the gap, in order, with `GO` where the tool travels.
    gone
        What holds on the way, each change once.
    held
        What holds in the stroke: (vertex from which on, what), each change once.
    inner
        What is said in the stroke: (vertex, what).
    """

    stroke: Stroke | None
    way: Points
    said: tuple[Said, ...]
    gone: tuple[Held, ...]
    held: tuple[tuple[int, Held], ...] = ()
    inner: tuple[tuple[int, Said], ...] = ()


def legs_of(moves: Moves, helds: Sequence[Held], said: Sequence[Said]) -> list[Leg]:
    """Divide what was followed into legs.

    Parameters
    ----------
    moves
        mm on the sheet.
    helds
        What holds in each move: as many as there are moves.
    said
        In order.
    """
    found: list[Leg] = []
    lengths, path = moves.lengths.tolist(), moves.path
    at, told = 0, 0
    for stroke in (*strokes_of(moves), None):
        first = len(moves) if stroke is None else stroke.first
        end = first if stroke is None else first + len(stroke.points) - 1
        gap: list[Said] = []
        row, far = at, 0.0
        while told < len(said) and (said[told].before <= first or stroke is None):
            upto = min(said[told].before, first)
            far += sum(lengths[row:upto])
            row = max(row, upto)
            if far > _NO_WAY:
                gap.append(GO)
                far = 0.0
            gap.append(said[told])
            told += 1
        if far + sum(lengths[row:first]) > _NO_WAY:
            gap.append(GO)
        inner: list[tuple[int, Said]] = []
        while told < len(said) and said[told].before < end:
            inner.append((said[told].before - first, said[told]))
            told += 1
        gone = [helds[k] for k in range(at, first) if lengths[k] > _NO_WAY]
        found.append(
            Leg(
                stroke=stroke,
                way=path[at : first + 1],
                said=tuple(gap),
                gone=tuple(what for _, what in _changes(gone)),
                held=tuple(_changes(helds[first:end])),
                inner=tuple(inner),
            )
        )
        at = end
    return found


def _changes(helds: Sequence[Held]) -> list[tuple[int, Held]]:
    """Each change once, with where it comes."""
    found: list[tuple[int, Held]] = []
    for k, held in enumerate(helds):
        if not found or held != found[-1][1]:
            found.append((k, held))
    return found
