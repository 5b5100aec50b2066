"""Lines and coordinates as pictures hold them: path data of SVG, simplified for the eye."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import numpy as np
import shapely

from cutprep.model.lines import Flags, Index, Points

#: Pictures are for the eye: a fifth of a millimetre on paper can't be told apart at arm's length. Lines of few points
#: are drawn as they are.
_SIMPLER, _FEW = 0.05, 8
_NOT_FINITE = "a picture can't hold a coordinate that is not finite"
#: A last digit that is 0, when the coordinates of many points are written in one go.
_ZEROS = re.compile(r"(\.[1-9])0")


def path_data(points: Points) -> str:
    """Path data of one line, simplified for the eye; a closed line ends with Z; (n, 2) mm, y up."""
    return paths_data(points, np.array([0, len(points)]))[0]


def paths_data(xy: Points, start: Index) -> list[str]:
    """Path data of many lines in one go.

    Parameters
    ----------
    xy
        (n, 2) ndarray of float: vertices of all lines, mm, y up.
    start
        (m + 1,) ndarray of int: line i is xy[start[i]:start[i + 1]].

    Returns
    -------
    list of str
        Of each line what `path_data` gives.
    """
    if len(start) < 2:
        return []
    xy, start = _simplified(xy, start)
    head, last = start[:-1], start[1:] - 1
    closed: Flags = (last - head >= 3) & (xy[head] == xy[last]).all(axis=1)
    kept = np.ones(len(xy), bool)
    kept[last[closed]] = False
    text = pairs(xy[kept])
    edges = np.concatenate(([0], np.cumsum(np.diff(start) - closed))).tolist()
    return [
        f"M{'L'.join(text[a:b])}{'Z' if ends else ''}"
        for (a, b), ends in zip(pairwise(edges), closed.tolist(), strict=True)
    ]


def _simplified(xy: Points, start: Index) -> tuple[Points, Index]:
    """The same lines, those of many points simplified."""
    counts = np.diff(start)
    long = np.flatnonzero(counts > _FEW)
    if not len(long):
        return xy, start
    owner = np.repeat(np.arange(len(counts)), counts)
    rows = counts[owner] > _FEW
    shapes = shapely.linestrings(xy[rows], indices=np.repeat(np.arange(len(long)), counts[long]))
    found, of = shapely.get_coordinates(shapely.simplify(shapes, _SIMPLER), return_index=True)
    owner = np.concatenate((owner[~rows], long[of]))
    turn = np.argsort(owner, kind="stable")
    counts = np.bincount(owner, minlength=len(counts))
    return np.concatenate((xy[~rows], found))[turn], np.concatenate(([0], np.cumsum(counts)))


def pairs(points: Points) -> list[str]:
    """Coordinates of points as `number` writes them, all in one go; (n, 2).

    Raises
    ------
    ValueError
        When one is not finite.
    """
    flat = points.ravel().tolist()
    if not all(map(math.isfinite, flat)):
        raise ValueError(_NOT_FINITE)
    text = ("%.2f %.2f\n" * len(points)) % tuple(flat)
    return _ZEROS.sub(r"\1", text.replace(".00", "")).splitlines()


def number(value: float) -> str:
    """Write a coordinate for a picture: two digits at most.

    Raises
    ------
    ValueError
        When it is not finite.
    """
    if not math.isfinite(value):
        raise ValueError(_NOT_FINITE)
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"
