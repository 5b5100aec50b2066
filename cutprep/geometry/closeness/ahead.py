"""What lies straight on from a point: the first segment that a ray meets."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.closeness.proximity import boxes_between
from cutprep.geometry.lines.segments import Segments
from cutprep.model.lines import Index, Points


def first_ahead(
    begin: Points, ray: Points, owner: Index, segments: Segments, slack: float, level: float = 0.0
) -> Points:
    """Tell how far along each ray the first segment lies, as a share of it, (n,); inf for none.

    Parameters
    ----------
    begin, ray
        (n, 2) ndarray of float: where each ray starts, and from there to its end, mm.
    owner
        (n,) ndarray of int: the line whose segments the ray doesn't meet.
    segments
        What may be met.
    slack
        A segment that a ray passes by so little is met at its end, mm.
    level
        Segments at no more than this sine to a ray are not met.
    """
    found = np.full(len(begin), np.inf)
    tip = begin + ray
    k, q = boxes_between(np.hstack((np.minimum(begin, tip), np.maximum(begin, tip))), segments.boxes)
    keep = segments.line[q] != owner[k]
    k, q = k[keep], q[keep]
    side = segments.end[q] - segments.begin[q]
    off = segments.begin[q] - begin[k]
    cross = ray[k, 0] * side[:, 1] - ray[k, 1] * side[:, 0]
    size = np.hypot(side[:, 0], side[:, 1])
    safe = np.where(cross == 0, 1.0, cross)
    t = (off[:, 0] * side[:, 1] - off[:, 1] * side[:, 0]) / safe
    u = (off[:, 0] * ray[k, 1] - off[:, 1] * ray[k, 0]) / safe
    # A corner is hit, though by rounding the ray may pass between its two lines.
    over = slack / np.maximum(size, slack)
    hit = np.abs(cross) > level * size * np.hypot(*ray[k].T)
    hit &= (t >= 0) & (t <= 1) & (u >= -over) & (u <= 1 + over)
    np.minimum.at(found, k[hit], t[hit])
    return found
