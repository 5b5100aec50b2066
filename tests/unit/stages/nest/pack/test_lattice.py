"""Interlocked step and repeat."""

from __future__ import annotations

import math

import pytest

from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.nesting import Turns
from cutprep.stages.nest.pack.grid import grid_pattern
from cutprep.stages.nest.pack.lattice import lattice_packing, lattices, lattices_for
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import board, box, carton, disc, ell, tag, template


@pytest.mark.parametrize("turns", ["half", "quarter"])
@pytest.mark.parametrize("make", [carton, ell, tag], ids=["carton", "ell", "tag"])
def test_beats_the_grid_and_is_right(make: object, turns: Turns) -> None:
    """Each of these shapes interlocks."""
    t = make()  # type: ignore[operator]
    b = board(t, turns=turns)
    pattern = lattice_packing(b, 0, lattices_for(b, 0))
    assert len(pattern) > len(grid_pattern(0, b.shapes[0], b.allowed[0], b.usable))
    assert is_right(pattern, [Demand(t, 1, turns)], b.usable)


def test_free_turns_lay_tilted_rows_straight() -> None:
    """With free turns no pose leaves the proof wanting."""
    b = board(ell(), turns="free")
    pattern = lattice_packing(b, 0, lattices_for(b, 0))
    assert is_right(pattern, [Demand(ell(), 1, "free")], b.usable)


@pytest.mark.parametrize(
    ("make", "share", "within"),
    [
        (lambda: box(30, 20), 1.0, 1e-6),
        (lambda: template("triangle", [(0, 0), (40, 0), (13, 29)]), 1.0, 1e-6),
        (lambda: template("quadrilateral", [(0, 0), (50, 5), (44, 37), (8, 30)]), 1.0, 2e-2),
        # Densest lattice of discs, Lagrange 1773: pi / sqrt(12).
        (lambda: disc(20, 96), math.pi / math.sqrt(12), 2e-2),
    ],
    ids=["box", "triangle", "quadrilateral", "disc"],
)
def test_densest_lattice(make: object, share: float, within: float) -> None:
    """What tiles the plane is found to do so: boxes, triangles and quadrilaterals by half turns."""
    t = make()  # type: ignore[operator]
    b = board(t, gap=0)
    best = min(lattice.cell for lattice in lattices(b, 0))
    assert b.shapes[0].area / best <= share + 1e-6
    assert b.shapes[0].area / best >= share - within


def test_kept_out_areas_are_left_free() -> None:
    """Copies that would touch one are left out."""
    b = board(tag(), keep_out=((100.0, 100.0, 180.0, 160.0),))
    pattern = lattice_packing(b, 0, lattices_for(b, 0))
    assert is_right(pattern, [Demand(tag(), 1)], b.usable)
    assert 50 < len(pattern) < 72


def test_nothing_fits_nothing_comes() -> None:
    """A copy larger than the sheet gives an empty pattern."""
    small = board(ell(), width=30, height=30)
    assert lattices_for(small, 0)
    assert not lattice_packing(small, 0, lattices_for(small, 0))


def test_boxes_have_no_lattice_but_the_grid() -> None:
    """Nothing is looked for where nothing can be gained."""
    assert lattices_for(board(box(50, 50)), 0) == ()
