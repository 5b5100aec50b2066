"""Folding does not depend on how a net is drawn, and is exact whatever its dimensions."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.geometry.affine import compose, scale, shift, turn
from cutprep.geometry.space.hinged import pose
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from cutprep.model.folded import FoldReport, Verdict
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.nets import (
    Sketch,
    from_faces,
    gathered,
    hang,
    hex_prism,
    hull,
    ngon_tray,
    roughen,
    solid,
    tray,
    tuck_end,
    unfold,
    webbed_tray,
)

TOLERANCE = Tolerance()
NETS = {
    "tray": tray(),
    "hexagon": hex_prism(),
    "tuck": tuck_end(),
    "webbed": webbed_tray(),
    "gathered": gathered(),
    "octagon": ngon_tray(8),
}
QUICK = settings(max_examples=6, deadline=None)


def one(drawing: Drawing) -> FoldReport:
    (report,) = fold(drawing, tolerance=TOLERANCE)
    return report


@cache
def reference(name: str) -> FoldReport:
    return one(NETS[name].drawing())


def same(got: FoldReport, want: FoldReport) -> None:
    assert got.verdict is want.verdict
    assert (len(got.panels), len(got.hinges), len(got.flaps), len(got.mates)) == (
        len(want.panels),
        len(want.hinges),
        len(want.flaps),
        len(want.mates),
    )
    assert got.open_sides == want.open_sides
    assert got.volume_mm3 == pytest.approx(want.volume_mm3, rel=1e-6)
    assert sorted(abs(h.angle) for h in got.hinges) == pytest.approx(
        sorted(abs(h.angle) for h in want.hinges), abs=1e-4
    )
    assert got.inside_mm == pytest.approx(want.inside_mm, abs=1e-4)
    assert not [m for m in got.messages if m.code != "not-held"]


@QUICK
@given(
    name=st.sampled_from(sorted(NETS)),
    degrees=st.floats(0, 360),
    far=st.tuples(st.floats(-1000, 1000), st.floats(-1000, 1000)),
    mirror=st.booleans(),
)
def test_where_and_how_it_lies_changes_nothing(
    name: str, degrees: float, far: tuple[float, float], mirror: bool
) -> None:
    drawing = NETS[name].drawing()
    matrix = compose(shift(*far), turn(degrees), scale(-1.0 if mirror else 1.0, 1.0))
    same(one(replace(drawing, lines=drawing.lines.transform(matrix))), reference(name))


@QUICK
@given(name=st.sampled_from(sorted(NETS)), seed=st.integers(0, 10_000))
def test_order_direction_doubles_and_pieces_change_nothing(name: str, seed: int) -> None:
    """No noise: lines shuffled, reversed, a fifth of them twice, a fifth in two pieces."""
    rough = roughen(NETS[name].drawing(), 0.0, 0.0, np.random.default_rng(seed), shortened=0.0)
    same(one(rough), reference(name))


@QUICK
@given(name=st.sampled_from(sorted(NETS)), seed=st.integers(0, 10_000))
def test_a_shaky_hand_changes_little(name: str, seed: int) -> None:
    """Ends 0.05 mm off, a seventh of the lines 0.15 mm too short."""
    got = one(roughen(NETS[name].drawing(), 0.05, 0.15, np.random.default_rng(seed)))
    want = reference(name)
    assert got.verdict is want.verdict
    assert len(got.panels) == len(want.panels)
    assert got.volume_mm3 == pytest.approx(want.volume_mm3, rel=5e-3)
    assert got.gap <= 0.5


@QUICK
@given(
    length=st.floats(80, 400),
    width=st.floats(80, 400),
    wall=st.floats(5, 35),
    t=st.floats(0, 1.0),
)
def test_any_tray_is_its_blank_less_two_walls(length: float, width: float, wall: float, t: float) -> None:
    (report,) = fold(tray(length, width, wall, bare=True).drawing(), tolerance=TOLERANCE, thickness=t)
    a, b = sorted((length - 2 * wall, width - 2 * wall), reverse=True)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.volume_mm3 == pytest.approx(a * b * wall, rel=1e-6)
    assert report.inside_mm == pytest.approx((a - t, b - t, wall - t / 2), abs=1e-5)


@QUICK
@given(n=st.integers(3, 9), side=st.floats(25, 80), wall=st.floats(8, 24))
def test_any_regular_tray(n: int, side: float, wall: float) -> None:
    (report,) = fold(ngon_tray(n, side, wall).drawing(), tolerance=TOLERANCE)
    area = n * side**2 / (4 * math.tan(math.pi / n))
    assert report.volume_mm3 == pytest.approx(area * wall, rel=1e-6)
    assert all(h.angle == pytest.approx(90, abs=1e-4) for h in report.hinges)


@QUICK
@given(seed=st.integers(0, 10_000))
def test_any_box_cut_open_along_any_tree(seed: int) -> None:
    """A box of random size, unfolded along a random spanning tree of its faces, closes again."""
    rng = np.random.default_rng(seed)
    size = rng.uniform(20, 90, 3)
    v, faces = hull(solid("cube")[0] * size)
    edges = [(a, b) for a in range(6) for b in range(a + 1, 6) if len(set(faces[a]) & set(faces[b])) == 2]
    tree = hang(_random_tree(edges, rng))
    drawing = from_faces(unfold(v, faces, tree)).drawing()
    reports = fold(drawing, tolerance=TOLERANCE)
    assert len(reports) == 1
    assert reports[0].verdict is Verdict.CLOSED
    assert reports[0].volume_mm3 == pytest.approx(float(np.prod(size)), rel=1e-6)


def _random_tree(edges: list[tuple[int, int]], rng: np.random.Generator) -> list[tuple[int, int]]:
    group = {k: k for e in edges for k in e}
    kept = []
    for k in rng.permutation(len(edges)):
        a, b = edges[k]
        if group[a] != group[b]:
            old, new = group[b], group[a]
            group = {n: new if g == old else g for n, g in group.items()}
            kept.append((a, b))
    return kept


@QUICK
@given(name=st.sampled_from(sorted(NETS)), fraction=st.floats(0, 1))
def test_folding_keeps_every_panels_shape(name: str, fraction: float) -> None:
    report = reference(name)
    for panel, corners in zip(report.panels, pose(report, fraction), strict=True):
        flat = panel.outline - panel.outline.mean(axis=0)
        bent = corners - corners.mean(axis=0)
        assert np.allclose(flat @ flat.T, bent @ bent.T, atol=1e-6)


@settings(max_examples=12, deadline=None)
@given(
    rows=st.lists(
        st.tuples(*[st.floats(-80, 80)] * 4, st.booleans()).filter(lambda r: (r[0], r[1]) != (r[2], r[3])),
        min_size=1,
        max_size=14,
    )
)
def test_any_scribble_gives_an_answer(rows: list[tuple[float, float, float, float, bool]]) -> None:
    s = Sketch()
    for x0, y0, x1, y1, score in rows:
        (s.score if score else s.cut)((x0, y0), (x1, y1))
    for report in fold(s.drawing(), tolerance=TOLERANCE):
        closed = report.verdict is Verdict.CLOSED
        assert (report.volume_mm3 > 0) or not closed
        assert not closed or (report.closes and report.open_sides == 0)
        names = [panel.name for panel in report.panels]
        assert len(set(names)) == len(names) > 0
        low, high = s.drawing().lines.bounds[:2], s.drawing().lines.bounds[2:]
        for panel in report.panels:
            assert (panel.outline >= np.subtract(low, 1e-6)).all()
            assert (panel.outline <= np.add(high, 1e-6)).all()
        for hinge in report.hinges:
            assert hinge.a != hinge.b
            assert {hinge.a, hinge.b} <= set(range(len(names)))
            assert not abs(hinge.angle) > 180  # nan where none was found
        assert all(m.problem and m.fix for m in report.messages if m.severity is Severity.ERROR)
