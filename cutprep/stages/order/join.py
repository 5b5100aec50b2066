"""Lines that meet end to end and carry on straight become one stroke: fewer lifts, no overlap."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutprep.model.lines import Flags, Index, Lines
from cutprep.model.operation import Operation
from cutprep.stages.order.starts import CORNER

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
    lead
        (k,) ndarray of int: for each new line the old one that gives its codes.
    """

    lines: Lines
    of: Index
    lead: Index


def join(lines: Lines, kind: Index) -> Joined:
    """Join open lines of the same kind whose ends are one point and that turn by 30 degrees at most.

    Where more than two ends meet, the straightest pair is joined first; cuts are not joined through
    a spot where two of them converge, for the blade is to run outwards from there.

    Parameters
    ----------
    kind
        (m,) ndarray of int: only lines of equal kind are joined.
    """
    partner = _partners(lines, kind, lines.operation == Operation.CUT)
    m = len(lines)
    same = np.arange(m)
    if not (partner >= 0).any():
        return Joined(lines, same, same)
    chains = _chains(partner, m)
    of = np.empty(m, np.int64)
    for number, chain in enumerate(chains):
        of[[line for line, _ in chain]] = number
    lead = np.array([min(line for line, _ in chain) for chain in chains], np.int64)
    return Joined(_merge(lines, chains, lead), of, lead)


def _partners(lines: Lines, kind: Index, spare: Flags) -> Index:
    """End 2i is the head of line i, 2i + 1 its tail; each end's partner, or -1."""
    m = len(lines)
    partner = np.full(2 * m, -1)
    head, tail = lines.start[:-1], lines.start[1:] - 1
    open_line = (lines.xy[head] != lines.xy[tail]).any(axis=1)
    rows = np.column_stack((head, tail)).ravel()
    inward = np.column_stack((head + 1, tail - 1)).ravel()
    ends = np.flatnonzero(np.repeat(open_line, 2))
    at = lines.xy[rows[ends]]
    leg = lines.xy[inward[ends]] - at
    heading = np.degrees(np.arctan2(leg[:, 1], leg[:, 0]))
    still = (leg == 0).all(axis=1)
    turn = np.lexsort((kind[ends // 2], at[:, 1], at[:, 0]))
    key = np.column_stack((at, kind[ends // 2]))[turn]
    group = np.cumsum((np.diff(key, axis=0, prepend=np.nan) != 0).any(axis=1))
    found = []
    for first, count in zip(*np.unique(group, return_index=True, return_counts=True)[1:], strict=True):
        # A crowd of ends is a rosette, not a chain; joining it straight through gains nothing.
        if not 2 <= count <= 16:
            continue
        members = turn[first : first + count]
        if spare[ends[members[0]] // 2] and _is_point(heading[members]):
            continue
        for k, a in enumerate(members):
            for b in members[k + 1 :]:
                bend = 180.0 - _apart(heading[a], heading[b])
                if bend <= CORNER and not (still[a] or still[b]) and ends[a] // 2 != ends[b] // 2:
                    found.append((round(bend, 6), int(min(ends[a], ends[b])), int(max(ends[a], ends[b]))))
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
    return len(heading) > 1 and bool(gaps.min() < _TIP)


def _chains(partner: Index, m: int) -> list[list[tuple[int, bool]]]:
    """Chains of (line, backwards), in the order of their lowest line; loops are opened there."""
    seen = np.zeros(m, bool)
    chains = []
    for line in range(m):
        if seen[line]:
            continue
        end, walked = 2 * line, 0
        while partner[end] >= 0 and walked <= m:
            end = int(partner[end]) ^ 1
            walked += 1
            if end == 2 * line:
                break
        chain = []
        while end >= 0 and not seen[end // 2]:
            seen[end // 2] = True
            chain.append((end // 2, bool(end % 2)))
            end = int(partner[end ^ 1])
        chains.append(chain)
    return chains


def _merge(lines: Lines, chains: list[list[tuple[int, bool]]], lead: Index) -> Lines:
    rows: list[NDArray[np.int64]] = []
    for chain in chains:
        pieces = []
        for k, (line, back) in enumerate(chain):
            own = np.arange(lines.start[line], lines.start[line + 1])
            own = own[::-1] if back else own
            pieces.append(own[1:] if k else own)
        rows.append(np.concatenate(pieces))
    picked = np.concatenate(rows)
    counts = np.array([len(r) for r in rows])
    return Lines(
        xy=lines.xy[picked],
        start=np.concatenate(([0], np.cumsum(counts))),
        operation=lines.operation[lead],
        fold=lines.fold[lead],
        source=lines.source[lead],
        curved=lines.curved[picked],
        elements=lines.elements,
    )


def kinds(*columns: Index | NDArray[np.generic] | Flags) -> Index:
    """Number the distinct rows of several columns."""
    table = np.column_stack([np.asarray(c, np.int64) for c in columns])
    return np.asarray(np.unique(table, axis=0, return_inverse=True)[1], np.int64).ravel()
