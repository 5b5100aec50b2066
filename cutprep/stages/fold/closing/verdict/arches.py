"""Handles in one piece: strips that go on from one wall over the room and come to lie on another."""

from __future__ import annotations

from collections.abc import Callable
from collections.abc import Set as AbstractSet

from cutprep.stages.fold.closing.verdict.contact import Contacts, area_of
from cutprep.stages.fold.closing.verdict.state import PanelSide, State

#: A handle's far end lies on the wall over at least this length along the handle, mm.
_LAP = 5.0
#: A handle spans the room and comes down: at least two panels.
_LEAST = 2
#: A handle is no wider than this share of the wall's foot.
_NARROW = 0.7
#: Of the span's sides this share stands free.
_FREE = 0.9


def arches_of(
    state: State, contacts: Contacts, shell: AbstractSet[int], open_on: Callable[[PanelSide], float]
) -> frozenset[int]:
    """Panels of strips whose one end hangs on the shell and whose other end lies on a far panel of it.

    Parameters
    ----------
    shell
        Panels that are no layers.
    open_on
        Tells how much of a side touches nothing, mm.
    """
    part, found = state.frame.part, set[int]()
    for tip in sorted(shell):
        if len(part.hinges_at(tip)) != 1:
            continue
        hinge = last = part.hinges_at(tip)[0]
        chain, below = [tip], part.hinges[last].other(tip)
        while below in shell and len(part.hinges_at(below)) == 2:
            further = next(k for k in part.hinges_at(below) if k != hinge)
            if part.hinges[further].length * _NARROW > part.hinges[last].length:
                break  # the wall that it hangs on
            chain.append(below)
            hinge, below = further, part.hinges[further].other(below)
        if below not in shell or len(part.hinges_at(below)) == 1 or len(chain) < _LEAST:
            continue
        lap = [g for q, g in contacts.flush[tip].items() if q in shell - {below}]
        sides = [s for s in state.frame.sides[chain[1]] if s.hinge < 0]
        free = sum(open_on(s) for s in sides) > _FREE * sum(s.length for s in sides)
        if lap and free and area_of(lap) > _LAP * part.hinges[last].length:
            found.update(chain)
    return frozenset(found)
