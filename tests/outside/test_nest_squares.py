"""Squared rectangles and consecutive squares, from published tables.

Sources
-------
- The 33 by 32 rectangle of nine squares: Z. Moron, "O rozkladach prostokatow na kwadraty",
  Przeglad Matematyczno-Fizyczny 3 (1925), 152-153.
- The square of 21 squares with side 112: A. J. W. Duijvestijn, "Simple perfect squared square of
  lowest order", J. Combin. Theory B 25 (1978), 240-243; Bouwkamp order as in OEIS A014530.
- The smallest rectangle into which the squares 1 x 1 to n x n can be packed: OEIS A038666 (areas)
  and A081287 (sides), after R. E. Korf 2004 and E. Huang and R. E. Korf 2009.
"""

from __future__ import annotations

import pytest

from cutprep.geometry.closeness.overlap import find_runs
from cutprep.geometry.placed import placed_lines
from cutprep.model.sheet import Placement
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.accept import accept
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.plan import nest
from tests.unit.stages.nest.specimens import box, sheets_in

RECTANGLE = (33, 32, [18, 15, 7, 8, 14, 4, 10, 1, 9])
SQUARE = (112, 112, [50, 35, 27, 8, 19, 15, 17, 11, 6, 24, 29, 25, 9, 2, 7, 18, 16, 42, 4, 37, 33])
#: A038666 from n = 1.
AREAS = [1, 6, 15, 35, 60, 99, 154, 210, 300, 405]


def decode(width: int, code: list[int]) -> list[tuple[int, int, int]]:
    """Bouwkamp order: each square goes to the lowest free place, the leftmost of those.

    Returns
    -------
    list of (x, y, side)
    """
    level = [0] * width
    squares = []
    for side in code:
        y = min(level)
        x = level.index(y)
        assert level[x : x + side] == [y] * side, "the code does not fit"
        level[x : x + side] = [y + side] * side
        squares.append((x, y, side))
    return squares


@pytest.mark.parametrize(("width", "height", "code"), [RECTANGLE, SQUARE], ids=["33 x 32", "112 x 112"])
def test_squared_rectangles(width: int, height: int, code: list[int]) -> None:
    """Accepted at gap 0, where every inner edge is cut once; refused at a gap of 0.1."""
    squares = decode(width, code)
    assert sum(side * side for _, _, side in squares) == width * height
    templates = [box(side, side, f"square {side}") for _, _, side in squares]
    placements = [Placement(k, x, y, copy=k + 1) for k, (x, y, _) in enumerate(squares)]
    size = SheetSize("rectangle", width, height)
    demands = [Demand(template, 1) for template in templates]

    sheets, findings = accept(templates, [placements], [size], Nesting(margin=0, gap=0), demands=demands)
    assert findings == ()
    lines = placed_lines(sheets[0]).lines
    assert len(find_runs(lines, 0.1, shortest=0.5, shortest_passing=0.5)) == 0
    outlines = sum(4 * side for _, _, side in squares)
    assert lines.lengths.sum() == pytest.approx((outlines + 2 * (width + height)) / 2)

    _, findings = accept(templates, [placements], [size], Nesting(margin=0, gap=0.1), demands=demands)
    assert {f.code for f in findings} == {"gap-too-small"}
    assert len(findings) >= len(squares)


@pytest.mark.parametrize("n", range(2, 8))
def test_consecutive_squares_never_beat_the_smallest_rectangle(n: int) -> None:
    """In no rectangle of less than the proved area does the nest place all squares on one sheet.

    The two nearest to a square are tried, where the known smallest rectangles lie (A081287).
    """
    demands = [Demand(box(side, side), 1) for side in range(1, n + 1)]
    area = AREAS[n - 1] - 1
    widest = int(area**0.5)
    for width in range(max(n, widest - 1), widest + 1):
        size = SheetSize("rectangle", width, area // width)
        assert size.height >= n
        assert sheets_in(nest(demands, [size], Nesting(margin=0, gap=0, effort="quick"))) > 1


@pytest.mark.parametrize(("n", "width", "height"), [(2, 2, 3), (3, 3, 5), (4, 5, 7), (5, 5, 12)])
def test_small_smallest_rectangles_are_found(n: int, width: int, height: int) -> None:
    """All squares on one sheet that leaves nothing to spare (sides from A081287 for n >= 6, areas below)."""
    assert width * height == AREAS[n - 1]
    demands = [Demand(box(side, side), 1) for side in range(1, n + 1)]
    assert sheets_in(nest(demands, [SheetSize("rectangle", width, height)], Nesting(margin=0, gap=0))) == 1


def test_five_by_three_in_eight_by_eight() -> None:
    """Four pieces, the area bound; a grid gives two."""
    demand = [Demand(box(5, 3), 4)]
    assert sheets_in(nest(demand, [SheetSize("square", 8, 8)], Nesting(margin=0, gap=0, effort="quick"))) == 1
    half = [Demand(box(5, 3), 4, "half")]
    assert sheets_in(nest(half, [SheetSize("square", 8, 8)], Nesting(margin=0, gap=0, effort="quick"))) == 2
