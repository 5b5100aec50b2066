"""Copies of one part that are already drawn side by side.

Two outlines are copies when one can be moved and turned onto the other. They are sorted by length
and area first; then the distance of the outline from its centroid, sampled around it, is compared at
every start at once (a circular correlation by FFT), which no move and no turn changes.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from cutprep.geometry.lines.rings import signed_areas
from cutprep.geometry.lines.segments import points_at, positions
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.stages.check.survey import Survey

_SAMPLES = 256
#: Fewer copies than this are no pattern.
_FEWEST = 2
#: Digits after the point in which equal lengths agree, mm.
_DIGITS = 6
#: Copies are looked for among this many outlines at most: a lace is no collection of copies.
_MOST, _MOST_RINGS = 1_000, 10_000


def find_copies(survey: Survey, rings: Lines) -> Iterator[Finding]:
    """Find parts that are drawn several times."""
    if not _FEWEST <= len(rings) <= _MOST_RINGS:
        return
    outer = _outer(rings)
    if not _FEWEST <= len(outer) <= _MOST:
        return
    rings = rings.take(outer)
    profile, feature, centre = _profiles(rings)
    slack = 2 * survey.tolerance.doubled
    # By what is drawn alone, so that the order and the direction of lines change nothing.
    left = list(np.lexsort(np.round(np.column_stack((centre, feature)), _DIGITS).T))
    while len(left) >= _FEWEST:
        first, rest = left[0], np.array(left[1:])
        close = (
            np.abs(feature[rest] - feature[first]) <= slack * np.array([4.0, np.sqrt(feature[first, 1]) + 1])
        ).all(axis=1)
        likely = rest[close]
        same = [first, *likely[_alike(profile[first], profile[likely], slack)].tolist()]
        if len(same) >= _FEWEST:
            yield _tell(rings, np.array(sorted(same)))
        gone = frozenset(same)
        left = [j for j in left if j not in gone]


def _outer(rings: Lines) -> Index:
    """Outlines that lie in no other."""
    offsets = (rings.start, np.arange(len(rings) + 1))
    polygons = shapely.from_ragged_array(shapely.GeometryType.POLYGON, rings.xy, offsets)
    shapely.prepare(polygons)
    tree = shapely.STRtree(polygons)
    inner, outer = tree.query(shapely.points(rings.xy[rings.start[:-1]]), predicate="within")
    return np.setdiff1d(np.arange(len(rings)), inner[inner != outer])


def _profiles(rings: Lines) -> tuple[Points, Points, Points]:
    """Distance from the centroid, sampled evenly around each ring; its length and area; and its centroid."""
    # All run counter-clockwise, so that a mirror image is no copy.
    clockwise = signed_areas(rings) < 0
    rings = rings.take(np.arange(len(rings)), clockwise)
    lengths = rings.lengths
    offsets = (rings.start, np.arange(len(rings) + 1))
    polygons = shapely.from_ragged_array(shapely.GeometryType.POLYGON, rings.xy, offsets)
    centre = shapely.get_coordinates(shapely.centroid(polygons))
    share = np.arange(_SAMPLES) / _SAMPLES
    line = np.repeat(np.arange(len(rings)), _SAMPLES)
    at = (_starts(rings, centre) + lengths[:, None] * share) % lengths[:, None]
    spots = points_at(rings, line, at.ravel()).reshape(len(rings), _SAMPLES, 2)
    radius = np.hypot(*(spots - centre[:, None, :]).transpose(2, 0, 1))
    return radius, np.column_stack((lengths, shapely.area(polygons))), centre


def _starts(rings: Lines, centre: Points) -> Points:
    """Position of the vertex of each ring to sample from, (r, 1): that furthest out, the longer side first."""
    run, found = positions(rings), []
    for i in range(len(rings)):
        points = rings.points(i)[:-1]
        out = np.hypot(*(points - centre[i]).T)
        side = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
        first = np.lexsort(np.round((np.roll(side, 1), side, out), _DIGITS))[-1]
        found.append(run[rings.start[i] + first])
    return np.array(found)[:, None]


def _alike(one: Points, others: Points, slack: float) -> Flags:
    """Which of other profiles agree with one at some start, as closely as the sampling tells."""
    correlation = np.fft.irfft(np.fft.rfft(one) * np.conj(np.fft.rfft(others)), _SAMPLES)
    start = np.argmax(correlation, axis=-1)
    shifted = np.take_along_axis(others, (np.arange(_SAMPLES) - start[:, None]) % _SAMPLES, axis=1)
    step = np.abs(np.diff(one, append=one[:1])).max()
    # Everywhere, not on average: a notch that lies elsewhere is small beside the whole.
    return np.asarray(np.abs(one - shifted).max(axis=1) <= slack + step)


def _tell(rings: Lines, same: Index) -> Finding:
    count = len(same)
    return Finding.of(
        code="copies-in-drawing",
        problem=f"{count} outlines are copies of one: this drawing holds one part {count} times, and each copy of "
        f"the drawing gives {count}.",
        fix=f"To let the copies be laid out, draw the part once and ask for {count} copies of it.",
        places=tuple(place_of(rings, int(i)) for i in same[:MOST_PLACES]),
        measure=float(count),
        limit=1.0,
        unit="copies",
    )
