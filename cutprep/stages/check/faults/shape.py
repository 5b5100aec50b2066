"""Outlines that cross, corners that tear, and holes too small to turn in."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import shapely

from cutprep.errors import Place
from cutprep.geometry.closeness.proximity import spans
from cutprep.geometry.lines.turning import turns
from cutprep.geometry.planar.ends.chains import join_chains
from cutprep.geometry.planar.ends.crossings import Crossings
from cutprep.model.findings.finding import Finding, Severity
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.findings.telling import tell
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import Operation
from cutprep.stages.check.survey import Survey

#: A notch sharper than this starts a tear, degrees; common practice, no published source.
_SHARP = 60.0
#: A drag knife needs a hole this many times its offset across to swing round in it; common
#: practice, no published source.
_SWING = 4.0
#: Guards divisions by lengths of nothing.
_TINY = float(np.finfo(float).tiny)


def find_crossing(survey: Survey) -> Iterator[Finding]:
    """Find outlines that cross themselves or each other, and cuts that cross an outline."""
    found, chain = survey.ring_crossings, survey.chain
    one, two = chain[found.first], chain[found.second]
    low, high = np.minimum(one, two), np.maximum(one, two)
    order = np.lexsort((found.at, high, low))
    yield from tell(spans(low[order], high[order]), partial(_tell_crossing, survey, found.take(order)))


def _tell_crossing(survey: Survey, found: Crossings, span: tuple[int, int]) -> Finding:
    """Tell of all crossings of two chains."""
    begin, end = span
    places = [
        place_of(survey.lines, int(line), found.xy[k])
        for k in range(begin, min(end, begin + MOST_PLACES))
        for line in dict.fromkeys((found.first[k], found.second[k]))
    ]
    i, j = int(found.first[begin]), int(found.second[begin])
    own = survey.chain[i] == survey.chain[j]
    both = survey.in_ring[i] and survey.in_ring[j]
    return _crossing(tuple(places), end - begin, own=bool(own), both=bool(both))


def _crossing(places: tuple[Place, ...], count: int, *, own: bool, both: bool) -> Finding:
    times = "once" if count == 1 else f"{count} times"
    if own:
        problem = f"An outline crosses itself {times}: it would fall apart into pieces."
    elif both:
        problem = f"Two outlines cross each other {times}: cutting the one would cut into the other."
    else:
        problem = f"A cut crosses an outline {times}: it would run on into what lies beside the part."
    return Finding.of(
        code="self-crossing" if own else "crossing-cuts",
        problem=problem,
        fix="Draw the outline without the loop."
        if own
        else "Move the lines apart, or end the cut at the outline.",
        places=places,
        measure=float(count),
        limit=0.0,
        unit="crossings",
        severity=Severity.ERROR if own or both else Severity.WARNING,
    )


def find_sharp(survey: Survey, rings: Lines) -> Iterator[Finding]:
    """Find re-entrant corners so sharp that a tear starts there."""
    owner, row, turn = _sharp_vertices(rings)
    if not len(row):
        return
    inward = _into_corner(rings, owner, row)
    waste = survey.outlines.depth(rings.xy[row] + inward * survey.tolerance.coincide) % 2 == 0
    # Where folds end, flap and wall are parted and folded away from each other: a narrow notch there is
    # common practice (no published source), and nothing pulls at its corner.
    free = waste & ~_at_fold_end(survey, rings.xy[row])
    corners = [
        (180 - float(turn[k]), place_of(rings, int(owner[k]), rings.xy[row[k]]))
        for k in np.flatnonzero(free).tolist()
    ]
    yield from tell(corners, _corner)


def _at_fold_end(survey: Survey, xy: Points) -> Flags:
    """Which of some points are the end of a score or a perforation."""
    folds = np.repeat(survey.folds, 2)
    tree = shapely.STRtree(np.atleast_1d(np.asarray(shapely.points(survey.ends[folds]))))
    near, _ = tree.query(shapely.points(xy), predicate="dwithin", distance=survey.tolerance.gap)
    at = np.zeros(len(xy), bool)
    at[near] = True
    return at


def _corner(corner: tuple[float, Place]) -> Finding:
    angle, place = corner
    return Finding.of(
        code="sharp-inner-corner",
        problem=f"An inner corner of {angle:.0f} degrees is sharper than {_SHARP:.0f}: "
        "the card tears easily from there.",
        fix="Round the corner, or end it in a small hole.",
        places=(place,),
        measure=angle,
        limit=_SHARP,
        unit="degrees",
    )


def closed_cuts(survey: Survey) -> Lines:
    """Closed cut chains as one line each; lines drawn twice count once."""
    whole = join_chains(survey.lines, survey.joints.chains)
    first = survey.joints.chains.piece[survey.joints.chains.start[:-1]]
    return whole.take(whole.closed & (whole.operation == Operation.CUT) & ~survey.spare[first])


def _sharp_vertices(rings: Lines) -> tuple[np.ndarray, np.ndarray, Points]:
    """Vertices that turn by more than a sharp corner does: ring, row, and degrees turned."""
    step = np.diff(rings.xy, axis=0)
    length = np.hypot(*step.T)
    cosine = np.einsum("ij,ij->i", step[:-1], step[1:]) / np.maximum(length[:-1] * length[1:], _TINY)
    back = np.cos(np.radians(180 - _SHARP))
    inner = np.ones(len(rings.xy), bool)
    inner[rings.start[:-1]] = inner[rings.start[1:] - 1] = False
    near = np.flatnonzero((cosine <= back * 0.999) & inner[1:-1]) + 1
    owner = np.searchsorted(rings.start, near, side="right") - 1
    # Rings with such a vertex, or such a seam, are rare enough to be looked at one by one.
    seam = _seam_turns(rings) > 180 - _SHARP
    rows, turned = [], []
    for i in np.union1d(owner, np.flatnonzero(seam)).tolist():
        angle = np.abs(turns(rings.points(i)))
        angle[-1] = 0.0
        angle[rings.curves(i)] = 0.0
        sharp = np.flatnonzero(angle > 180 - _SHARP)
        rows.append(rings.start[i] + sharp)
        turned.append(angle[sharp])
    if not rows:
        return np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0)
    row = np.concatenate(rows)
    return np.searchsorted(rings.start, row, side="right") - 1, row, np.concatenate(turned)


def _seam_turns(rings: Lines) -> Points:
    first = rings.xy[rings.start[:-1] + 1] - rings.xy[rings.start[:-1]]
    last = rings.xy[rings.start[1:] - 1] - rings.xy[rings.start[1:] - 2]
    cross = last[:, 0] * first[:, 1] - last[:, 1] * first[:, 0]
    return np.asarray(np.degrees(np.abs(np.arctan2(cross, np.einsum("ij,ij->i", last, first)))))


def _into_corner(rings: Lines, owner: np.ndarray, row: np.ndarray) -> Points:
    """Unit directions from corners into the narrow side between their legs."""
    begin, end = rings.start[owner], rings.start[owner + 1] - 1
    before = np.where(row == begin, end - 1, row - 1)
    after = np.where(row == end, begin + 1, row + 1)
    legs = [rings.xy[other] - rings.xy[row] for other in (before, after)]
    units = [leg / np.maximum(np.hypot(*leg.T), _TINY)[:, None] for leg in legs]
    middle = units[0] + units[1]
    return np.asarray(middle / np.maximum(np.hypot(*middle.T), _TINY)[:, None])


def find_tight(survey: Survey, rings: Lines, blade_offset: float) -> Iterator[Finding]:
    """Find holes too small for the blade to turn in."""
    least = _SWING * blade_offset
    if not least > 0 or not len(rings):
        return
    low, high = np.hsplit(rings.boxes, 2)
    width = (high - low).min(axis=1)
    small = np.flatnonzero(width < least)
    small = small[survey.outlines.depth((low[small] + high[small]) / 2) % 2 == 0]
    holes = [(float(width[i]), place_of(rings, i, (low[i] + high[i]) / 2)) for i in small.tolist()]
    yield from tell(holes, partial(_tight, blade_offset))


def _tight(blade_offset: float, hole: tuple[float, Place]) -> Finding:
    width, place = hole
    least = _SWING * blade_offset
    return Finding.of(
        code="hole-too-small",
        problem=f"A hole is only {width:.2f} mm across: a blade with an offset of {blade_offset:.2f} mm needs "
        f"{least:.2f} mm to swing round, and would tear it.",
        fix="Make the hole larger, or punch it.",
        places=(place,),
        measure=width,
        limit=least,
    )
