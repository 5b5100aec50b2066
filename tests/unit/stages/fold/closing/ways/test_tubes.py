"""Rings of panels."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cutprep.model.duties import Duty
from cutprep.model.folded import Role, Verdict
from cutprep.model.lines import Element
from cutprep.stages.fold.closing.verdict.state import frame_of
from cutprep.stages.fold.closing.ways.tubes import circle_folds, rows_of
from tests.bench.fold_kinds import make
from tests.folding import angles_of, codes_of, folded, part_from
from tests.kinds.cartons import tube
from tests.kinds.draw import Manner, drawn
from tests.nets import Sketch, hex_prism, sleeve


def band(*widths: float, height: float = 70.0) -> Sketch:
    """Panels in a row, no flap."""
    s, x = Sketch("band"), np.concatenate(([0.0], np.cumsum(widths)))
    for k in range(1, len(widths)):
        s.score((x[k], 0), (x[k], height))
    return s.ring((0, 0), (x[-1], 0), (x[-1], height), (0, height))


@pytest.mark.parametrize("n", [3, 4, 5, 8, 12])
def test_equal_walls_stand_on_a_regular_polygon(n: int) -> None:
    assert circle_folds(np.full(n, 20.0)) == pytest.approx([360.0 / n] * n)


def test_paired_walls_are_a_rectangle() -> None:
    assert circle_folds(np.array([60.0, 25.0, 60.0, 25.0])) == pytest.approx([90.0] * 4)


@pytest.mark.parametrize("widths", [(3.0, 4.0, 5.0), (30.0, 40.0, 69.0), (80.0, 80.0, 10.0)])
def test_three_walls_obey_the_cosine_rule(widths: tuple[float, float, float]) -> None:
    """The fold between two walls is 180 degrees less the angle that the third is opposite to."""
    a, b, c = widths
    folds = circle_folds(np.array(widths))
    assert folds is not None
    between = math.degrees(math.acos((a * a + b * b - c * c) / (2 * a * b)))
    assert folds[0] == pytest.approx(180.0 - between, abs=1e-6)
    assert folds.sum() == pytest.approx(360.0)


def test_a_wall_wider_than_all_others_closes_no_ring() -> None:
    assert circle_folds(np.array([10.0, 10.0, 25.0])) is None


def test_rows_are_found_in_order() -> None:
    row = rows_of(frame_of(part_from(hex_prism())))[0]
    assert len(row.panels) == 7
    assert sorted(round(w) for w in row.widths) == [10, *[40] * 6]


@pytest.mark.parametrize("n", [5, 6, 9, 12])
def test_an_open_sleeve_is_wound_once(n: int) -> None:
    """Area of a regular polygon of side a: n a^2 / (4 tan(pi / n))."""
    report = folded(band(*[25.0] * n))
    assert report.verdict is Verdict.MOVABLE
    assert report.example
    assert report.volume_mm3 == pytest.approx(70 * n * 25**2 / (4 * math.tan(math.pi / n)), rel=1e-6)


def test_three_walls_are_stiff() -> None:
    report = folded(band(40.0, 50.0, 60.0))
    assert report.verdict is Verdict.OPEN_BOX
    assert codes_of(report) == []


def test_a_wall_too_many_is_named() -> None:
    report = folded(band(60.0, 30.0, 60.0, 30.0, 60.0))
    (found,) = report.found("extra-wall")
    assert found.places[0].xy == pytest.approx((30, 35))
    assert (
        found.problem == "panel A is a wall too many: the tube is closed without it, and it lies on panel C"
    )


def test_a_glue_flap_lies_on_the_wall_beyond_the_seam() -> None:
    report = folded(sleeve())
    (flap,) = report.flaps
    assert flap.duty is Duty.GLUE_FLAP
    assert angles_of(report) == {90.0}


@pytest.mark.parametrize("said", [True, False])
@pytest.mark.parametrize("caliper", [1.0, 1.2])
@pytest.mark.parametrize(
    ("long", "wide", "high", "deep"), [(108.0, 74.0, 54.5, 16.0), (71.0, 47.5, 27.5, 6.0)]
)
def test_a_flap_that_narrows_lies_on_its_wall(
    long: float, wide: float, high: float, deep: float, caliper: float, said: bool
) -> None:
    """The last wall is a caliper narrower, so that the flap lies a caliper inside; also where angles are declared."""
    net = tube((long, wide, long, wide - caliper), high)
    x = 2 * long + 2 * wide - caliper
    drawing = drawn(net.flap((x, high), (x, 0), deep, 4.3).strokes(), Manner(), np.random.default_rng(1))
    if said:
        layers = (f"{e.layer} 90 deg" if e.layer == "score" else e.layer for e in drawing.lines.elements)
        told = tuple(Element(layer=layer) for layer in layers)
        drawing = replace(drawing, lines=replace(drawing.lines, elements=told))
    report = folded(drawing, thickness=caliper)
    assert [p.role for p in report.panels].count(Role.BODY) == 4
    assert all(abs(angle - 90) < 1.5 for angle in angles_of(report))
    assert report.drawn_mm is not None
    assert sorted(report.drawn_mm) == pytest.approx(sorted((long, wide, high)), abs=1.5 * caliper)


def test_an_end_panel_gives_its_section_away() -> None:
    """A prism over an L: concave corners fold the other way; the volume is area times height."""
    corners = [(0, 0), (60, 0), (60, 25), (25, 25), (25, 50), (0, 50)]
    sides = [math.dist(p, q) for p, q in zip(corners, [*corners[1:], corners[0]], strict=True)]
    s = band(*sides, height=40.0)
    s.cuts.clear()
    total = sum(sides)
    s.score((0, 40), (60, 40)).score((0, 0), (60, 0))
    s.cut((0, 0), (0, 40), *[(x, 40.0 + y) for x, y in reversed(corners[2:])], (60, 65), (60, 40))
    s.cuts[-1] = [(0, 0), (0, 40)]
    s.cut((0, 40), *[(x, 40.0 + y) for x, y in [*reversed(corners[1:])]][:-1], (60, 40))
    s.cut((0, 0), *[(x, -y) for x, y in [*reversed(corners[1:])]][:-1], (60, 0))
    s.cut((60, 0), (total, 0), (total, 40), (60, 40))
    report = folded(s)
    assert report.verdict is Verdict.CLOSED
    assert report.volume_mm3 == pytest.approx((60 * 25 + 25 * 25) * 40, rel=1e-6)
    assert {90.0, -90.0} == angles_of(report)


def test_a_tube_of_nearly_square_section_is_no_hollow_wall_however_it_lies() -> None:
    net, wants = make("carton, overlap below", 52700)
    drawing = drawn(net.strokes(), Manner(), np.random.default_rng([52700, 0]))
    report = folded(drawing)
    assert report.verdict is Verdict.CLOSED
    assert report.volume_mm3 == pytest.approx(wants[0].volume)
