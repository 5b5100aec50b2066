"""What several checks need to know of a drawing, worked out once."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from cutprep.geometry.cover import wholly_covered
from cutprep.geometry.near import components
from cutprep.geometry.neighbours import Neighbours, neighbours
from cutprep.geometry.overlap import Runs, find_runs
from cutprep.geometry.planar.chains import Way, ends
from cutprep.geometry.planar.crossings import Crossings, find_crossings
from cutprep.geometry.planar.joints import Joints, find_joints
from cutprep.geometry.planar.outlines import Outlines, find_outlines
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.model.operation import WORKED, Operation
from cutprep.tolerance import Tolerance


class Survey:
    """A drawing with what has been found out about it; each thing is worked out when first asked for.

    Parameters
    ----------
    drawing
        Classified.
    strip
        Narrowest strip that doesn't tear, mm.
    """

    def __init__(self, drawing: Drawing, tolerance: Tolerance, strip: float) -> None:
        self.drawing = drawing
        self.lines: Lines = drawing.lines
        self.tolerance = tolerance
        self.strip = strip
        operation = self.lines.operation
        self.worked: Flags = np.isin(operation, WORKED)
        self.cuts: Flags = operation == Operation.CUT
        self.folds: Flags = np.isin(operation, (Operation.SCORE, Operation.PERFORATE))

    @cached_property
    def near(self) -> Neighbours:
        """Segments of worked lines that may lie near each other."""
        within = max(self.tolerance.near, self.tolerance.gap, self.strip)
        return neighbours(self.lines, within, pick=self.worked, spot=self.tolerance.doubled)

    @cached_property
    def doubled(self) -> Runs:
        """Where lines lie on each other."""
        return find_runs(
            self.lines,
            self.tolerance.doubled,
            shortest=self.tolerance.doubled_run,
            shortest_passing=self.tolerance.near_run,
            near=self.near,
        )

    @cached_property
    def spare(self) -> Flags:
        """Lines that another line of the same operation covers from end to end."""
        alike = self.lines.operation[self.doubled.first] == self.lines.operation[self.doubled.second]
        return wholly_covered(self.lines, self.doubled.take(alike), self.tolerance.doubled)

    @cached_property
    def joints(self) -> Joints:
        """What the ends of cut lines do; lines drawn twice count once."""
        return find_joints(self.lines, self.cuts & ~self.spare, self.near, self.tolerance)

    @cached_property
    def outlines(self) -> Outlines:
        """Outlines of parts and holes."""
        return find_outlines(self.lines, self.cuts & ~self.spare, self.joints, self.tolerance)

    @cached_property
    def chain(self) -> Index:
        """The chain of each line; a line drawn twice counts with the one that covers it."""
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
    def in_ring(self) -> Flags:
        """Lines that belong to a closed chain."""
        chains = self.joints.chains
        return np.asarray(chains.closed[chains.of_line])

    @cached_property
    def cut_crossings(self) -> Crossings:
        """Where cuts cross cuts, further than a touch from their ends."""
        single = self.cuts & ~self.spare
        way = Way(self.lines, self.joints.chains)
        return find_crossings(self.near, single, single, way, touch=self.tolerance.doubled)

    @cached_property
    def ends(self) -> Points:
        """First and last point of each line, (2 m, 2), mm."""
        return ends(self.lines)

    @cached_property
    def lengths(self) -> Points:
        """Length of each line, mm."""
        return self.lines.lengths
