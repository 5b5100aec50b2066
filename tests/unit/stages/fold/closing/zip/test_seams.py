"""Zipping outlines: which sides meet."""

from __future__ import annotations

import math

import pytest

from cutprep.stages.fold.closing.zip.outline import outline_of
from cutprep.stages.fold.closing.zip.seams import zippings
from tests.folding import part_from
from tests.nets import Sketch, net_of, ngon_tray, open_cube, pyramid_net, sleeve, tuck_end


def zipped(sketch: Sketch, aside: frozenset[int] = frozenset(), **options: object):
    part = part_from(sketch)
    return zippings(outline_of(part, frozenset(range(len(part.panels))) - aside), **options)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("solid", "pairs"), [("cube", 7), ("octahedron", 5), ("icosahedron", 11), ("dodecahedron", 19)]
)
def test_solids_zip_shut_strictly(solid: str, pairs: int) -> None:
    """Every edge of the solid is a hinge or a seam: seams = edges - faces + 1."""
    first = zipped(net_of(solid, 40))[0]
    assert len(first.pairs) == pairs
    assert first.rims == ()


def test_a_tetrahedron_needs_flat_corners() -> None:
    ways = zipped(net_of("tetrahedron", 60))
    assert [len(w.rims) for w in ways] == [1, 0]


def test_a_flat_rim_stays_open() -> None:
    first = zipped(open_cube())[0]
    assert len(first.pairs) == 4
    assert len(first.open_sides) == 4
    assert math.isclose(first.open_length, 160)


@pytest.mark.parametrize("angle", [181.8, 184.0])
def test_a_jittered_rim_is_not_zipped(angle: float) -> None:
    """An open rim drawn a little out of true spans up to 184 degrees: that is still a rim."""
    e, d = 40.0, 40.0 * math.tan(math.radians(angle - 180) / 2)
    faces = [(0, 0), (e, 0), (e, e), (0, e)]
    s = Sketch()
    for p, q in zip(faces, [*faces[1:], faces[0]], strict=True):
        s.score(p, q)
    for k in range(4):  # walls a little wider at the rim
        p, q = faces[k], faces[(k + 1) % 4]
        u = ((q[0] - p[0]) / e, (q[1] - p[1]) / e)
        out = (u[1] * e, -u[0] * e)
        s.cut(
            q,
            (q[0] + out[0] + u[0] * d, q[1] + out[1] + u[1] * d),
            (p[0] + out[0] - u[0] * d, p[1] + out[1] - u[1] * d),
            p,
        )
    assert len(zipped(s)[0].open_sides) == 4


def test_every_corner_of_a_body_is_a_closed_fan_below_360() -> None:
    first = zipped(net_of("icosahedron", 40))[0]
    assert len(first.cycles) == 12
    assert all(len(c.panels) == len(c.seams) == 5 for c in first.cycles)
    assert all(math.isclose(c.angle, 300) for c in first.cycles)


def test_sides_of_different_length_are_not_zipped_strictly() -> None:
    """A wall 3 mm higher than its neighbours meets them only in a bolder zip."""
    s = tuck_end(lid=27)
    part = part_from(s)
    flaps = frozenset(k for k, p in enumerate(part.polygons) if p.area < 800 or p.area == 10 * 87)
    ways = zipped(s, flaps)
    assert ways[0].rims
    assert any(not w.rims for w in ways)


def test_declared_pairs_and_open_sides_are_kept() -> None:
    part = part_from(net_of("cube", 40))
    outline = outline_of(part, frozenset(range(6)))
    inferred = zippings(outline)[0]
    pair = (inferred.pairs[-1].a, inferred.pairs[-1].b)
    told = zippings(outline, declared=[pair])[0]
    assert told.pairs[0].source == "declared"
    assert {frozenset((p.a, p.b)) for p in told.pairs} == {frozenset((p.a, p.b)) for p in inferred.pairs}
    shut = frozenset(pair)
    left_open = zippings(outline, shut=shut)[0]
    assert shut <= set(left_open.open_sides)


def test_a_sleeve_closes_with_its_flap() -> None:
    part = part_from(sleeve())
    flap = min(range(5), key=lambda k: part.polygons[k].area)
    ways = zippings(outline_of(part, frozenset(range(5)) - {flap}))
    assert not ways[0].pairs
    closed = [w for w in ways if len(w.pairs) == 1]
    assert len(closed[0].rims) == 2


def test_no_point_gets_more_card_than_all_round() -> None:
    for sketch in (ngon_tray(8), pyramid_net(5)):
        for way in zipped(sketch):
            assert all(c.angle <= 363 for c in way.cycles)
