"""The plain order: always the nearest line next, without the search engine.

It is what stands when the engine can't be loaded, fails, or gives back something that is no order. It
shares no code with the engine, and needs numpy alone.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Index, Points
from cutprep.stages.order.entry.starts import EntryPoints


def nearest_entries(entries: EntryPoints, rank: Index, home: Points) -> Index:
    """Take always the nearest entry point next, rank by rank; of equals the first.

    Parameters
    ----------
    entries
        Where lines can be entered.
    rank
        (m,) ndarray of int: lines are worked by rising rank.
    home
        (2,) ndarray: where the tool starts, mm.

    Returns
    -------
    (m,) ndarray of int
        The entry points of the lines, in working order.
    """
    at, found = home, []
    for now in np.unique(rank).tolist():
        left = np.flatnonzero(rank[entries.line] == now)
        while len(left):
            legs = entries.entry[left] - at
            entry = int(left[np.argmin((legs * legs).sum(axis=1))])
            found.append(entry)
            at = entries.leave[entry]
            left = left[entries.line[left] != entries.line[entry]]
    return np.array(found, np.int64)


def is_order(order: Index, rank: Index) -> bool:
    """Whether an order holds every line once, by rising rank; (m,) each."""
    order = np.asarray(order)
    if len(order) != len(rank) or not np.array_equal(np.sort(order), np.arange(len(rank))):
        return False
    return bool((np.diff(rank[order]) >= 0).all())
