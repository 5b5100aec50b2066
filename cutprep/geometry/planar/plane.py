"""What the lines of a drawing do in the plane, worked out once for every room that asks.

check tells what is wrong with it, mend changes the lines until nothing is, divide takes its outlines
for parts, fold takes its faces for panels. None of them joins ends or looks for crossings on its own.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
import shapely

from cutprep.geometry.closeness.cover import wholly_covered
from cutprep.geometry.closeness.neighbours import Neighbours, neighbours
from cutprep.geometry.closeness.overlap import Runs, find_runs
from cutprep.geometry.planar.ends.chains import JoinedChains, ends
from cutprep.geometry.planar.ends.crossings import Crossings, find_crossings
from cutprep.geometry.planar.ends.joints import Joints, Reach, find_joints, find_reach, find_touching
from cutprep.geometry.planar.graph.graph import Graph, Marks
from cutprep.geometry.planar.graph.marks import marks_of, taking_part
from cutprep.geometry.planar.graph.noding import build
from cutprep.geometry.planar.outlines import Outlines, find_outlines
from cutprep.geometry.planar.tails import Tails, find_tails
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import WORKED, Operation
from cutprep.tolerance import Tolerance


class Plane:
    """Classified lines with what has been found out about them; each thing when it is first asked for.

    Parameters
    ----------
    lines
        m lines; guides and unplaced ones take no part.
    tolerance
        Which ends are one point, which lines lie on each other, which gaps close.
    reach
        Further distance within which neighbours will be asked for, mm.
    gap
        Largest gap that closes, mm; the tolerance's when None.
    """

    def __init__(
        self, lines: Lines, tolerance: Tolerance, *, reach: float = 0.0, gap: float | None = None
    ) -> None:
        self.lines = lines
        self.tolerance = tolerance
        self.gap = tolerance.gap if gap is None else gap
        self._within = max(tolerance.near, self.gap, reach)
        operation = lines.operation
        self.worked: Flags = np.isin(operation, WORKED)
        self.cuts: Flags = operation == Operation.CUT
        self.folds: Flags = np.isin(operation, (Operation.SCORE, Operation.PERFORATE))

    @cached_property
    def nearby(self) -> Neighbours:
        """Segments of worked lines that may lie near each other."""
        # Nobody asks what runs beside a pen line, only what lies on it.
        return neighbours(
            self.lines,
            self._within,
            pick=self.worked,
            spot=self.tolerance.doubled,
            gap=self.gap,
            plain=self.lines.operation == Operation.DRAW,
        )

    @cached_property
    def doubled(self) -> Runs:
        """Where lines lie on each other."""
        return find_runs(
            self.lines,
            self.tolerance.doubled,
            shortest=self.tolerance.doubled_run,
            shortest_passing=self.tolerance.near_run,
            nearby=self.nearby,
        )

    @cached_property
    def spare(self) -> Flags:
        """Lines that another line of the same operation covers from end to end, (m,)."""
        alike = self.lines.operation[self.doubled.first] == self.lines.operation[self.doubled.second]
        return wholly_covered(self.lines, self.doubled.take(alike), self.tolerance.doubled)

    @cached_property
    def single_cuts(self) -> Flags:
        """Cuts, those drawn twice once, (m,)."""
        return self.cuts & ~self.spare

    @cached_property
    def joints(self) -> Joints:
        """What the ends of cut lines do."""
        return find_joints(self.lines, self.single_cuts, self.nearby, self.tolerance, self.gap)

    @cached_property
    def touching(self) -> Reach:
        """Ends of cut lines on the inside of cut lines."""
        return find_touching(self.lines, self.single_cuts, self.nearby, self.tolerance, self.joints.node)

    @cached_property
    def cut_crossings(self) -> Crossings:
        """Where cuts cross cuts, further than a touch from their ends."""
        way = JoinedChains(self.lines, self.joints.chains)
        return find_crossings(
            self.nearby, self.single_cuts, self.single_cuts, way, touch=self.tolerance.doubled
        )

    @cached_property
    def in_ring(self) -> Flags:
        """Lines that belong to a closed chain; (m,)."""
        chains = self.joints.chains
        return np.asarray(chains.closed[chains.of_line])

    @cached_property
    def ring_crossings(self) -> Crossings:
        """Crossings of cuts of which one belongs to a closed chain, but for corners drawn past themselves."""
        found, gap, ring = self.cut_crossings, self.tolerance.gap, self.in_ring
        linked = np.zeros(2 * len(self.lines), bool)
        linked[self.joints.link.ravel()] = True
        at_end = np.ones(len(found), bool)
        for line, at in ((found.first, found.at), (found.second, found.at_other)):
            near = (at <= gap, self.lengths[line] - at <= gap)
            at_end &= (linked[2 * line] & near[0]) | (linked[2 * line + 1] & near[1])
        return found.take((ring[found.first] | ring[found.second]) & ~at_end)

    @cached_property
    def _marks(self) -> Marks:
        lines, runs = self.lines, self.doubled
        single = self.single_cuts
        partly = single[runs.first] & single[runs.second] & (runs.first != runs.second)
        return marks_of(
            lines, self.joints, self.touching, self.cut_crossings, runs.take(partly), self.gap, self.tolerance
        )

    @cached_property
    def noded(self) -> Flags:
        """Cut lines that the graph holds, (m,): all but closed ones that stand alone."""
        if not (self.single_cuts & ~self.lines.closed).any():
            return np.zeros(len(self.lines), bool)
        return taking_part(self.lines, self.single_cuts, self._marks)

    @cached_property
    def graph(self) -> Graph:
        """The planar graph of the cuts that meet others."""
        if not self.noded.any():
            return build(self.lines, self.noded, Marks.none(), self.tolerance.coincide)
        return build(self.lines, self.noded, self._marks, self.tolerance.coincide)

    @cached_property
    def outlines(self) -> Outlines:
        """Outlines of parts and holes."""
        alone = self.lines.take(self.single_cuts & self.lines.closed & ~self.noded)
        return find_outlines(self.lines, alone, self.graph, self.joints)

    @cached_property
    def tails(self) -> Tails:
        """Ends of cuts that run past the outline they bound, or start at it and bound nothing."""
        if not (self.joints.free.any() or self.joints.dashed.any()):
            return Tails.none()
        return find_tails(self.graph, self.outlines)

    @cached_property
    def overruns(self) -> Tails:
        """Tails of cuts that bound something, and were not meant: beside the card, or a short way into it.

        A cut that ends on a fold was meant to (a tab's slit), and so was a long one into the card. Where a cut
        crosses an outline that is whole without it, the crossing is the fault.
        """
        tails = self.tails
        if not len(tails):
            return tails
        rows = np.unique(2 * tails.line + tails.end)
        held = find_reach(self.lines, rows, self.folds, self.nearby, self.tolerance.doubled).end
        short = (tails.length <= self.tolerance.tail) & ~np.isin(2 * tails.line + tails.end, held)
        meant = ~tails.passing | ~(tails.outside | short) | (tails.length <= self.tolerance.doubled)
        return tails.take(~meant & ~self._at_crossing(tails))

    @cached_property
    def sprouts(self) -> Tails:
        """Tails that begin at an outline and lead away from the card."""
        tails = self.tails
        sprouts = tails.outside & ~tails.passing & (tails.length > self.tolerance.sliver)
        return tails.take(sprouts & ~self._at_crossing(tails))

    def _at_crossing(self, tails: Tails) -> Flags:
        """Which tails begin where a closed chain is crossed, (k,)."""
        at = np.zeros(len(tails), bool)
        if len(tails) and len(self.ring_crossings):
            tree = shapely.STRtree(np.asarray(shapely.points(self.ring_crossings.xy)))
            roots = shapely.points(tails.root)
            at[tree.query(roots, predicate="dwithin", distance=self.tolerance.doubled)[0]] = True
        return at

    @cached_property
    def ends(self) -> Points:
        """First and last point of each line, (2 m, 2), mm."""
        return ends(self.lines)

    @cached_property
    def lengths(self) -> Points:
        """Length of each line, mm; (m,)."""
        return self.lines.lengths
