"""The coordinate systems of HP-GL: user units over plotter units over the paper.

P1 and P2 are two corners in plotter units; SC maps user units onto them; RO turns the axes and
shifts the origin so that the area stays in the first quadrant (HP PCL 5 Technical Reference
Manual Part II, pp. 19-24 to 19-35; HP 7470A manual, p. 2-7).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutprep.geometry.affine import apply, compose, invert, quarter_turn, scale, shift
from cutprep.model.lines import Points


@dataclass(frozen=True, slots=True)
class Scaling:
    """How numbers become places.

    Attributes
    ----------
    unit
        One plotter unit, mm.
    size
        The machine's area, mm on its own axes, or None when it is not known.
    corners
        P1 and P2, plotter units (x1, y1, x2, y2); None for the corners of the area.
    user
        What SC maps onto P1 and P2: (xmin, xmax, ymin, ymax), or None when scaling is off.
    same
        Isotropic scaling: (left %, bottom %), or None.
    turn
        Quarter turns of RO.
    """

    unit: float
    size: tuple[float, float] | None
    corners: tuple[float, float, float, float] | None = None
    user: tuple[float, float, float, float] | None = None
    same: tuple[float, float] | None = None
    turn: int = 0

    @property
    def area(self) -> tuple[float, float]:
        """Width and height in plotter units on the turned axes; zero when not known."""
        if self.size is None:
            return (0.0, 0.0)
        width, height = (side / self.unit for side in self.size)
        return (height, width) if self.turn % 2 else (width, height)

    @property
    def points(self) -> tuple[float, float, float, float]:
        """P1 and P2, plotter units."""
        return self.corners or (0.0, 0.0, *self.area)

    @property
    def units_of_user(self) -> Points:
        """The (2, 3) matrix from user units to plotter units.

        Raises
        ------
        ValueError
            When P1 and P2 have no area between them.
        """
        if self.user is None:
            return scale(1.0)
        x1, y1, x2, y2 = self.points
        xmin, xmax, ymin, ymax = self.user
        sx, sy = (x2 - x1) / (xmax - xmin), (y2 - y1) / (ymax - ymin)
        if not (sx and sy):
            raise ValueError("P1 and P2 have no area between them")
        if self.same is not None:
            step = min(abs(sx), abs(sy))
            left, bottom = self.same
            x1 += (1 - step / abs(sx)) * (x2 - x1) * left / 100
            y1 += (1 - step / abs(sy)) * (y2 - y1) * bottom / 100
            sx, sy = np.copysign(step, sx), np.copysign(step, sy)
        return compose(shift(x1, y1), scale(float(sx), float(sy)), shift(-xmin, -ymin))

    @property
    def mm_of_units(self) -> Points:
        """The (2, 3) matrix from plotter units to the machine's own mm."""
        width, height = (0.0, 0.0) if self.size is None else (side / self.unit for side in self.size)
        corner = {0: (0.0, 0.0), 1: (width, 0.0), 2: (width, height), 3: (0.0, height)}[self.turn % 4]
        return compose(scale(self.unit), shift(*corner), quarter_turn(self.turn))

    def back(self, mm: tuple[float, float]) -> tuple[float, float]:
        """The machine's own mm to user units."""
        matrix = compose(invert(self.units_of_user), invert(self.mm_of_units))
        x, y = apply(matrix, np.array(mm)).tolist()
        return (x, y)

    def with_points(self, numbers: tuple[float, ...]) -> Scaling:
        """IP: both points, P1 alone (P2 keeps its distance), or the default.

        Raises
        ------
        ValueError
            When the count of numbers is neither 0, 2 nor 4.
        """
        if not numbers:
            return replace(self, corners=None)
        x1, y1, x2, y2 = self.points
        if len(numbers) == 2:
            x2, y2 = numbers[0] + x2 - x1, numbers[1] + y2 - y1
        elif len(numbers) == 4:
            x2, y2 = numbers[2:]
        else:
            raise ValueError("it takes two or four numbers")
        x1, y1 = numbers[:2]
        return replace(self, corners=(x1, y1, x2 + (x1 == x2), y2 + (y1 == y2)))

    def with_scale(self, numbers: tuple[float, ...]) -> Scaling:
        """SC: off, anisotropic, isotropic or by point factors.

        Raises
        ------
        ValueError
            When the numbers make no scale.
        """
        if not numbers:
            return replace(self, user=None, same=None)
        if len(numbers) not in (4, 5, 7):
            raise ValueError("it takes four, five or seven numbers")
        kind = int(numbers[4]) if len(numbers) > 4 else 0
        a, b, c, d = numbers[:4]
        if kind == 2:  # xmin, factor, ymin, factor: user units are so many plotter units each
            x1, y1, x2, y2 = self.points
            b, d = (a + (x2 - x1) / b if b else a), (c + (y2 - y1) / d if d else c)
        if a == b or c == d or kind not in (0, 1, 2):
            raise ValueError("a side of the user's area is empty, or the type is not 0, 1 or 2")
        same = ((numbers[5], numbers[6]) if len(numbers) == 7 else (50.0, 50.0)) if kind == 1 else None
        return replace(self, user=(a, b, c, d), same=same)
