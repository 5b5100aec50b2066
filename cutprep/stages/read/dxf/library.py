"""What is left to the DXF library: it unpacks binary files, and finds the curve through fit points.

It takes nearly half a second to load, and most drawings need neither; so it is loaded when one does.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

import numpy as np

from cutprep.model.lines import Points
from cutprep.quiet import quietly


def unpack(data: bytes) -> Iterator[tuple[int, str | float | bytes]]:
    """Group codes and values of a binary file.

    Raises
    ------
    ValueError
        When the file breaks off.
    """
    with quietly():
        from ezdxf.lldxf.const import DXFError
        from ezdxf.lldxf.tagger import binary_tags_loader
    try:
        for tag in binary_tags_loader(data, errors="replace"):
            yield tag.code, tag.value
    except (IndexError, struct.error, ValueError, LookupError, OverflowError, DXFError) as fault:
        raise ValueError(str(fault)) from None


def fit(points: Points, tangents: Points | None) -> tuple[int, Points, Points] | None:
    """Find the B-spline that drawing programs draw through fit points.

    Parameters
    ----------
    points
        (n, 3) ndarray of float, n of 2 or more, neighbours apart.
    tangents
        (2, 3) ndarray of float: directions at the ends, where they are given.

    Returns
    -------
    tuple
        Degree, (k, 3) control points, knots; None for points that nearly coincide and leave nothing to solve.
    """
    with quietly():
        from ezdxf.lldxf.const import DXFError
        from ezdxf.math import Vec3, fit_points_to_cad_cv
    ends = None if tangents is None else [Vec3(side) for side in tangents]
    try:
        spline = fit_points_to_cad_cv([Vec3(p) for p in points], ends)
    except (ArithmeticError, LookupError, ValueError, DXFError):
        return None
    return spline.degree, np.array([p.xyz for p in spline.control_points]), np.array(spline.knots())
