"""The plain order: always the nearest line next, without the search engine.

It is what stands when the engine can't be loaded, fails, or gives back something that is no order. It
shares no code with the engine, and needs numpy alone.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Index, Points
from cutprep.stages.order.entry.starts import Starts


def nearest_places(places: Starts, rank: Index, home: Points) -> Index:
    """Take always the nearest place next, rank by rank; of equals the first.

    Parameters
    ----------
    places
        Where lines can be entered.
    rank
        (m,) ndarray of int: lines are worked by rising rank.
    home
        (2,) ndarray: where the tool starts, mm.

    Returns
    -------
    (m,) ndarray of int
        The places at which the lines are entered, in working order.
    """
    at, found = home, []
    for now in np.unique(rank).tolist():
        left = np.flatnonzero(rank[places.line] == now)
        while len(left):
            legs = places.entry[left] - at
            place = int(left[np.argmin((legs * legs).sum(axis=1))])
            found.append(place)
            at = places.leave[place]
            left = left[places.line[left] != places.line[place]]
    return np.array(found, np.int64)


def is_order(order: Index, rank: Index) -> bool:
    """Whether an order holds every line once, by rising rank."""
    order = np.asarray(order)
    if len(order) != len(rank) or not np.array_equal(np.sort(order), np.arange(len(rank))):
        return False
    return bool((np.diff(rank[order]) >= 0).all())
