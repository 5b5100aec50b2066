"""Bodies: volume, dent, bend, and the convex one among exact closures."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.space.hinged import carry, pose_panels
from cutprep.stages.fold.closing.zip.body import bend_of, concavity_of, enclosed, folded_body
from cutprep.stages.fold.closing.zip.guesses import Guess
from cutprep.stages.fold.closing.zip.outline import outline_of
from cutprep.stages.fold.closing.zip.seams import zippings
from cutprep.stages.fold.declared.constraints import FoldConstraints
from tests.folding import part_from
from tests.nets import Sketch, net_of, open_cube

CUBE = [
    [(0, 0, 0), (0, 1, 0), (1, 1, 0), (1, 0, 0)],
    [(0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1)],
    [(0, 0, 0), (1, 0, 0), (1, 0, 1), (0, 0, 1)],
    [(1, 0, 0), (1, 1, 0), (1, 1, 1), (1, 0, 1)],
    [(1, 1, 0), (0, 1, 0), (0, 1, 1), (1, 1, 1)],
    [(0, 1, 0), (0, 0, 0), (0, 0, 1), (0, 1, 1)],
]


def test_volume_of_a_cube_wherever_it_is() -> None:
    rings = [np.array(f, float) + 1000.0 for f in CUBE]
    assert enclosed(rings) == pytest.approx(1.0)
    assert enclosed([r[::-1] for r in rings]) == pytest.approx(-1.0)


def test_bend_of_points() -> None:
    square = np.array([(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0)], float)
    assert bend_of(square) < 1e-12
    square[0, 2] = 4.0
    assert bend_of(square) == pytest.approx(1.0, abs=0.05)
    assert bend_of(square[:3]) == 0.0


def body(sketch: Sketch, sense: float = 1.0, **fixed: float):
    part = part_from(sketch)
    zipped = zippings(outline_of(part, frozenset(range(len(part.panels)))))[0]
    constraints = FoldConstraints({}, sense, np.zeros(len(part.hinges)), (), 0.5)
    return part, folded_body(part, Guess(frozenset()), zipped, constraints, np.random.default_rng(0))


def test_the_icosahedron_is_convex_not_dented() -> None:
    """A dented closure of the same net exists: volume 20 925 at a gap below 1e-6."""
    _, got = body(net_of("icosahedron", 40))
    assert got.volume == pytest.approx(2.181695 * 40**3, rel=1e-6)
    assert got.concavity < 1e-6


def test_a_dent_is_measured() -> None:
    part, got = body(net_of("octahedron", 50))
    flipped = got.radians.copy()
    panel = int(got.tree.members[-1])
    flipped[panel] = -flipped[panel]
    turn, shift = pose_panels(got.tree, flipped)
    rings = {p: carry(turn[p], shift[p], part.xy[list(part.rings[p])]) for p in got.members}
    assert concavity_of(rings, turn, 1.0) > 10.0


@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_the_seen_side_is_inside_or_outside_as_wished(sense: float) -> None:
    _, got = body(open_cube(40), sense)
    assert got.volume == pytest.approx(sense * 64000)
    hung = got.tree.hinge >= 0
    assert np.allclose(np.degrees(got.radians[hung]), 90 * sense)


def test_an_open_box_is_closed_by_its_rim() -> None:
    _, got = body(open_cube(40))
    assert got.rim_bend < 1e-9
    assert len(got.zipped.open_sides) == 4
    assert not got.flat
