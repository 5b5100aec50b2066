"""Assertions for values that hold arrays."""

from __future__ import annotations

import numpy as np
import shapely

from cutprep.model.lines import Lines


def assert_same_lines(
    got: Lines, want: Lines, *, within: float = 0.0, ignore_direction: bool = False
) -> None:
    """Compare two values line by line, in order."""
    __tracebackhide__ = True
    assert len(got) == len(want), f"{len(got)} lines, wanted {len(want)}"
    for i in range(len(got)):
        a, b = got.points(i), want.points(i)
        assert a.shape == b.shape, f"line {i} has {len(a)} points, wanted {len(b)}"
        off = float(np.abs(a - b).max())
        if ignore_direction:
            off = min(off, float(np.abs(a[::-1] - b).max()))
        assert off <= within, f"line {i} is off by {off}"


def assert_same_ink(got: Lines, want: Lines, *, within: float) -> None:
    """Compare the points covered by two sets of lines, however they are split (Hausdorff distance)."""
    __tracebackhide__ = True
    ours, theirs = (
        shapely.union_all([shapely.LineString(lines.points(i)) for i in range(len(lines))])
        for lines in (got, want)
    )
    off = shapely.hausdorff_distance(ours, theirs, densify=0.05)
    assert off <= within, f"the ink differs by {off} mm"
