"""Lines that meet end to end and carry on straight become one stroke: fewer lifts, no overlap."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from cutprep.geometry.closeness.proximity import spans
from cutprep.geometry.planar.ends.chains import follow, headings, join_chains, nodes
from cutprep.model.lines import Flags, Index, Lines
from cutprep.model.operation import Operation
from cutprep.stages.order.entry.starts import CORNER

_CROWD = 16
_DECIMALS = 6  # of a degree
_TIP = 60.0  # degrees between two cuts, below which the card between them is a free tip


@dataclass(frozen=True, slots=True, eq=False)
class Joined:
    """Lines after joining.

    Attributes
    ----------
    lines
        With the codes and the source of the first line of each chain.
    of
        (m,) ndarray of int: for each old line the new one it became part of.
    reverse
        (m,) ndarray of bool: which old lines run backwards in it.
    lead
        (k,) ndarray of int: for each new line the old one that gives its codes.
    """

    lines: Lines
    of: Index
    reverse: Flags
    lead: Index


def join(lines: Lines, kind: Index, within: float) -> Joined:
    """Join open lines of the same kind whose ends are one point and that turn by 30 degrees at most.

    Where more than two ends meet, the straightest pair is joined first; cuts are not joined through
    a spot where two of them converge, for the blade is to run outwards from there.

    Parameters
    ----------
    kind
        (m,) ndarray of int: only lines of equal kind are joined.
    within
        Ends that differ by no more than this are one point, mm: the rounding of placed copies.
    """
    partner = _partners(lines, kind, within)
    same = np.arange(len(lines))
    if not (partner >= 0).any():
        return Joined(lines, same, np.zeros(len(lines), bool), same)
    chains = follow(lines, partner)
    lead = np.minimum.reduceat(chains.piece, chains.start[:-1])
    joined = join_chains(lines, chains)
    codes = {name: getattr(lines, name)[lead] for name in ("operation", "fold", "source")}
    reverse = np.empty(len(lines), bool)
    reverse[chains.piece] = chains.reverse
    return Joined(replace(joined, **codes), chains.of_line, reverse, lead)


def _partners(lines: Lines, kind: Index, within: float) -> Index:
    """End 2i is the head of line i, 2i + 1 its tail; each end's partner, or -1."""
    partner = np.full(2 * len(lines), -1)
    node = nodes(lines, within, kind=kind)
    there = np.flatnonzero(node >= 0)
    out = headings(lines, there)
    heading, still = np.zeros(len(node)), np.ones(len(node), bool)
    heading[there] = np.degrees(np.arctan2(-out[:, 1], -out[:, 0]))
    still[there] = (out == 0).all(axis=1)
    order = there[np.argsort(node[there], kind="stable")]
    found = []
    for low, high in spans(node[order]):
        members = order[low:high]
        # A crowd of ends is a rosette, not a chain; joining it straight through gains nothing.
        if not 2 <= len(members) <= _CROWD:
            continue
        if lines.operation[members[0] // 2] == Operation.CUT and _is_point(heading[members]):
            continue
        for a, b in combinations(members.tolist(), 2):
            # Hexagons bend by just these limits: what a processor rounds must not decide.
            bend = round(180.0 - _apart(heading[a], heading[b]), _DECIMALS)
            if bend <= CORNER and not (still[a] or still[b]) and a // 2 != b // 2:
                found.append((bend, a, b))
    for _, a, b in sorted(found):
        if partner[a] < 0 and partner[b] < 0:
            partner[a], partner[b] = b, a
    return partner


def _apart(a: float, b: float) -> float:
    """Angle between two headings, degrees, 0 to 180."""
    return abs((a - b + 180.0) % 360.0 - 180.0)


def _is_point(heading: NDArray[np.float64]) -> bool:
    """Whether any two lines leave a spot so close together that there is a free tip between them."""
    around = np.sort(heading)
    gaps = np.diff(np.append(around, around[0] + 360.0))
    return len(heading) > 1 and bool(round(float(gaps.min()), _DECIMALS) < _TIP)


def kinds(*columns: Index | NDArray[np.generic] | Flags) -> Index:
    """Number the distinct rows of several columns, (m,) each."""
    table = np.column_stack([np.asarray(c, np.int64) for c in columns])
    return np.asarray(np.unique(table, axis=0, return_inverse=True)[1], np.int64).ravel()
