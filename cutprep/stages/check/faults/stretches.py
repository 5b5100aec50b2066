"""Stretches along which lines run together, gathered for findings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.errors import Place
from cutprep.geometry.closeness.cover import length_run_again, stacks
from cutprep.geometry.closeness.overlap import Runs
from cutprep.geometry.closeness.proximity import spans
from cutprep.geometry.lines.segments import points_at
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.lines import Index, Lines, Points


@dataclass(frozen=True, slots=True, eq=False)
class SharedRun:
    """Lines that run together in one stretch.

    Attributes
    ----------
    members
        Line numbers.
    spots
        (k, 2) ndarray of float: for each line the middle of its longest run, mm.
    again
        Length that is run again, mm.
    length
        Length of the longest run, mm.
    least
        Smallest distance, mm.
    """

    members: Index
    spots: Points
    again: float
    length: float
    least: float

    def places(self, lines: Lines) -> tuple[Place, ...]:
        """Each line with its point."""
        shown = self.members[:MOST_PLACES].tolist()
        return tuple(place_of(lines, i, xy) for i, xy in zip(shown, self.spots, strict=False))


def gather(lines: Lines, runs: Runs, within: float) -> list[SharedRun]:
    """Put runs together into stretches, in the order of their first lines."""
    k = len(runs)
    if not k:
        return []
    group = stacks(lines, runs, within)
    twice = length_run_again(lines, runs, group)
    line = np.concatenate((runs.first, runs.second))
    begin = np.concatenate((runs.begin, runs.begin_other))
    end = np.concatenate((runs.end, runs.end_other))
    owner = np.concatenate((group, group))
    order = np.lexsort((-np.round(np.abs(end - begin), 6), line, owner))
    owner, line = owner[order], line[order]
    head = np.flatnonzero((np.diff(owner, prepend=-1) != 0) | (np.diff(line, prepend=-1) != 0))
    pick = order[head]
    spots = points_at(lines, line[head], (begin[pick] + end[pick]) / 2)
    longest, least = np.zeros(k), np.full(k, np.inf)
    np.maximum.at(longest, group, runs.length)
    np.minimum.at(least, group, runs.least)
    found = []
    for low, high in spans(owner[head]):
        number = int(owner[head[low]])
        found.append(
            SharedRun(
                members=line[head[low:high]],
                spots=spots[low:high],
                again=float(twice[number]),
                length=float(longest[number]),
                least=float(least[number]),
            )
        )
    return found
