"""What the tip of a blade did, kept so that what has not changed is not followed again."""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.model.lines import Points

#: A blade that has aligned itself again keeps less than this of the heading before, radians.
_SAME_HEADING = 1e-12  # not a tolerance: far below the last digit that is told


@dataclass(frozen=True, slots=True, eq=False)
class TipsFollowed:
    """What the tip did for each of m strokes.

    Attributes
    ----------
    error
        (m,) ndarray of float: greatest distance between the tip's path and the wanted line, mm.
    path
        (n + 1, 2) ndarray of float: home, and the ends of all moves, mm.
    phi, offset
        (n,) ndarray of float: heading of the blade before each move, radians, and its offset, mm.
    runs
        For each stroke the rows of its moves.
    """

    error: Points
    path: Points
    phi: Points
    offset: Points
    runs: tuple[tuple[slice, ...], ...]

    def turned(self, stroke: int, turn: int, path: Points, phi: float, offset: float) -> Points | None:
        """Headings before the moves of a stroke's run, (k,), where it has been followed; None where it has not.

        Parameters
        ----------
        stroke, turn
            Whose run, and which of its runs.
        path
            (k + 1, 2) where the run begins and its moves end, mm.
        phi, offset
            Heading of the blade at its begin, radians, and its offset, mm.
        """
        if not 0 <= stroke < len(self.runs) or turn >= len(self.runs[stroke]):
            return None
        rows = self.runs[stroke][turn]
        same = (
            len(path) == rows.stop - rows.start + 1
            and abs(self.phi[rows.start] - phi) <= _SAME_HEADING
            and self.offset[rows.start] == offset
            and bool((self.path[rows.start : rows.stop + 1] == path).all())
        )
        return self.phi[rows] if same else None

    def is_same(self, other: TipsFollowed, stroke: int) -> bool:
        """Whether the tip goes the same way for a stroke."""
        ours, theirs = self.runs[stroke], other.runs[stroke]
        return len(ours) == len(theirs) and all(
            a.stop - a.start == b.stop - b.start
            and abs(self.phi[a.start] - other.phi[b.start]) <= _SAME_HEADING
            and self.offset[a.start] == other.offset[b.start]
            and bool((self.path[a.start : a.stop + 1] == other.path[b.start : b.stop + 1]).all())
            for a, b in zip(ours, theirs, strict=True)
        )
