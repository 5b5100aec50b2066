"""What several checks need to know of a drawing, worked out once."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from cutprep.geometry.closeness.dashes import join_fold_dashes
from cutprep.geometry.closeness.proximity import components
from cutprep.geometry.planar.outlines import bounding_chains
from cutprep.geometry.planar.plane import Plane
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Flags, Index
from cutprep.tolerance import Tolerance


class Survey(Plane):
    """The plane of a drawing's lines, with what only checks ask for; rows of dashes are a line each.

    Parameters
    ----------
    drawing
        Classified.
    strip
        Narrowest strip that doesn't tear, mm.

    Attributes
    ----------
    dashed
        (m,) ndarray of bool: which lines are rows of dashes.
    """

    def __init__(self, drawing: Drawing, tolerance: Tolerance, strip: float) -> None:
        joined = join_fold_dashes(drawing.lines)
        super().__init__(joined.lines, tolerance, reach=strip)
        self.drawing = drawing.with_lines(joined.lines)
        self.dashed = joined.rows
        self.strip = strip

    @cached_property
    def chain(self) -> Index:
        """The chain of each line; a line drawn twice counts with the one that covers it; (m,)."""
        chains = self.joints.chains
        inner = np.flatnonzero(np.diff(chains.of_line[chains.piece]) == 0)
        runs = self.doubled
        spare = self.spare[runs.first] | self.spare[runs.second]
        return components(
            len(self.lines),
            np.concatenate((chains.piece[inner], runs.first[spare])),
            np.concatenate((chains.piece[inner + 1], runs.second[spare])),
        )

    @cached_property
    def bounding(self) -> Flags:
        """Chains of cuts of which an edge bounds a face, (c,)."""
        return bounding_chains(self.graph, self.joints)


def trimming(length: float, tolerance: Tolerance) -> str:
    """What mending must be told to trim a length, mm: nothing, or how much it may."""
    return "" if length <= tolerance.tail else f" with --trim {np.ceil(length):.0f}mm"
