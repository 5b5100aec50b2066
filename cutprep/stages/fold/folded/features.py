"""What is drawn but takes no part in closing: tear lines, scores for show, windows, slots."""

from __future__ import annotations

import numpy as np
import shapely

from cutprep.model.duties import Feature
from cutprep.model.folded import FoldReport, Role
from cutprep.stages.fold.closing.verdict.state import frame_of
from cutprep.stages.fold.closing.ways.tubes import rows_of
from cutprep.stages.fold.net.idle import inner_vertices, is_perforated, straight_lines
from cutprep.stages.fold.net.part import HingedPart
from cutprep.stages.fold.net.vertices import CANNOT, MAY

#: An opening narrower than this on average is a slot, mm.
_SLOT = 2.0
#: A score turned by less than this is not folded, degrees.
_UNFOLDED = 1.0
#: A sheet with a pattern fills at least this share of its convex hull.
_FULL = 0.8


def features_of(part: HingedPart, idle: frozenset[int], doors: frozenset[int]) -> tuple[Feature, ...]:
    """Name the scores that stay flat, line by line, and the openings, panel by panel; the scores of doors by themselves."""
    line = straight_lines(part)
    found = []
    for number in sorted({line[k] for k in idle}):
        hinges = [k for k in idle if line[k] == number]
        ends = np.vstack([part.hinges[k].ends for k in hinges])
        torn = all(is_perforated(part, k) for k in hinges)
        panels = sorted({p for k in hinges for p in (part.hinges[k].a, part.hinges[k].b)})
        found.append(
            Feature(
                "tear line" if torn else "door" if doors >= set(hinges) else "score that stays flat",
                _xy(ends.mean(axis=0)),
                tuple(panels),
                float(sum(part.hinges[k].joined for k in hinges)),
            )
        )
    for panel, polygon in enumerate(part.polygons):
        for hole in polygon.interiors:
            narrow = shapely.Polygon(hole).area < _SLOT * hole.length / 2
            middle = shapely.get_coordinates(hole.centroid)[0]
            found.append(Feature("slot" if narrow else "window", _xy(middle), (panel,), float(hole.length)))
    return tuple(found)


def left_flat(told: FoldReport) -> frozenset[int]:
    """Scores between walls that a closed part does not fold: pre-glued corners are folded there for the post."""
    if not told.closes:
        return frozenset()
    walls = {k for k, p in enumerate(told.panels) if p.role is Role.BODY}
    return frozenset(k for k, h in enumerate(told.hinges) if {h.a, h.b} <= walls and abs(h.angle) < _UNFOLDED)


def _xy(point: np.ndarray[tuple[int], np.dtype[np.float64]]) -> tuple[float, float]:
    x, y = point
    return float(x), float(y)


def is_pattern(part: HingedPart, words: tuple[str, ...], *, meets: bool) -> bool:
    """Whether a part is a pattern of folds in a sheet: its inner vertices fold flat, nothing has to meet.

    Parameters
    ----------
    words
        What was judged of each inner vertex.
    meets
        Sides were found that might meet. Where none were, a single vertex need not fold flat: it bends.
    """
    inside = inner_vertices(part)
    if not inside or not words:
        return False
    whole = shapely.union_all(list(part.polygons))
    if any(row.flapped for row in rows_of(frame_of(part))):
        return False  # a row with a glue flap at its end is to be closed to a ring
    filled = whole.area / shapely.convex_hull(whole).area
    bends = len(inside) == 1 and not meets and CANNOT not in words
    return bool(filled > _FULL and (bends or all(word == MAY for word in words)))
