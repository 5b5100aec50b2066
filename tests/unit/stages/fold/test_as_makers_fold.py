"""What a maker sees of templates that are folded in ways of their own: hems, hollow walls, covers, frills, lids."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from cutprep.model.duties import Duty
from cutprep.model.findings.finding import errors
from cutprep.model.folded import FoldReport, Verdict
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.kinds.cartons import tube
from tests.kinds.draw import Manner, Net, arc, drawn
from tests.kinds.trays import area, corners, cross, regular


def seen(net: Net) -> FoldReport:
    """Fold a net of one part."""
    drawing = drawn(net.strokes(), Manner(split=0.0), np.random.default_rng(1))
    (report,) = fold(drawing, tolerance=Tolerance())
    return report


def bag(*, strip: bool) -> Net:
    """A bag of 90 x 50 x 120 mm with four bottom flaps and a hem of 16 mm, in one strip or in four."""
    net, x = tube((90, 50, 90, 50), 120), [0.0, 90.0, 140.0, 230.0, 280.0]
    room = 0.0 if strip else 0.4
    for k, deep in enumerate((45.0, 20.0, 40.0, 20.0)):
        net.rect(x[k] + room, 120, x[k + 1] - room, 136).rect(x[k] + 0.5, 0, x[k + 1] - 0.5, -deep)
    return net


@pytest.mark.parametrize("strip", [True, False])
def test_a_hem_is_turned_in_and_makes_a_bag_no_higher(strip: bool) -> None:
    report = seen(bag(strip=strip))
    assert report.verdict in {Verdict.OPEN_BOX, Verdict.MOVABLE}
    assert report.volume_mm3 == pytest.approx(90 * 50 * 120, rel=1e-3)
    assert not errors(report.messages)


def test_inside_a_tray_with_hollow_walls_is_what_they_leave() -> None:
    length, width, height, thick = 120.0, 90.0, 20.0, 12.0
    net = cross(length, width, height)
    for y, s in ((0.0, -1), (width, 1)):
        at = y + s * height
        for deep in (thick, height, 9.0):
            net.rect(0, at, length, at + s * deep)
            at += s * deep
    report = seen(net)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.drawn_mm is not None
    assert sorted(report.drawn_mm) == pytest.approx([height, width - 2 * thick, length], abs=0.01)
    assert report.volume_mm3 == pytest.approx(height * (width - 2 * thick) * length, rel=1e-6)


@pytest.mark.parametrize("widths", [(80, 12, 80), (35, 80, 12, 80, 35), (72, 80, 10), (80, 79, 78)])
def test_covers_jackets_and_leaflets_are_no_tubes(widths: tuple[float, ...]) -> None:
    report = seen(tube(widths, 110, glue=0.0))
    assert report.verdict is Verdict.LEAF
    assert report.drawn_mm is None


def test_three_equal_walls_are_a_tube_and_so_is_a_wedge_with_a_glue_flap() -> None:
    assert seen(tube((40, 40, 40), 90, glue=0.0)).verdict is Verdict.OPEN_BOX
    assert seen(tube((80, 25, 80), 90, glue=9.0)).verdict is Verdict.OPEN_BOX


def test_tabs_for_a_base_of_its_own_hold_no_tube_open() -> None:
    net = tube([30.0] * 6, 70)
    for k in range(6):
        net.flap(((k + 1) * 30.0, 0), (k * 30.0, 0), 7.0, 6.0)
    report = seen(net)
    assert report.verdict is Verdict.MOVABLE
    assert report.volume_mm3 == pytest.approx(area(6, 30) * 70, rel=1e-6)


def test_the_sliver_between_two_lines_of_a_slit_is_no_panel_that_hangs_on_nothing() -> None:
    length, width, height, gap = 110.0, 80.0, 25.0, 0.6
    net = cross(length, width, height)
    for x, y, sx, sy in corners(length, width):
        far = x + sx * height
        net.rect(x, y + sy * gap, far, y + sy * height)
        net.window((x, y), (far, y), (far, y + sy * gap), (x, y + sy * gap))
    report = seen(net)
    assert report.verdict is Verdict.OPEN_BOX
    assert not errors(report.messages)


def test_arcs_above_the_rim_of_a_leaning_cup_are_no_seams() -> None:
    low, slant, flare = 50.0, 80.0, 10.0
    high, net = low + 2 * flare, Net().rect(0, 0, low, low)
    for p, q in (((low, 0), (0, 0)), ((low, low), (low, 0)), ((0, low), (low, low)), ((0, 0), (0, low))):
        a, b = np.array(p, float), np.array(q, float)
        u = (b - a) / low
        n = slant * np.array([-u[1], u[0]])
        one, two = tuple(b + n + flare * u), tuple(a + n - flare * u)
        net.add(p, q, *arc(one, two, -10.0))
    report = seen(net)
    height = math.sqrt(slant**2 - flare**2)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.volume_mm3 == pytest.approx(height / 3 * (low**2 + high**2 + low * high), rel=2e-3)


def test_a_cone_with_petals_is_closed_and_does_not_lie_flat() -> None:
    side, edge = 40.0, 55.0
    tip, apothem = 2 * math.asin(side / 2 / edge), side / 2
    at = [(edge * math.cos(k * tip), edge * math.sin(k * tip)) for k in range(5)]
    net = Net()
    for p, q in pairwise(at):
        mid = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
        far = 1 + apothem / math.hypot(*mid)
        net.add((0, 0), p, q).add(p, (mid[0] * far, mid[1] * far), q)
    net.flap(at[0], (0, 0), 6.0, 4.0, far=9.0)
    report = seen(net)
    assert report.verdict is Verdict.CLOSED
    assert report.volume_mm3 == pytest.approx(side**2 * math.sqrt(edge**2 - side**2 / 2) / 3, rel=1e-6)


def test_flaps_above_webbed_corners_close_a_leaning_pail() -> None:
    length, width, slant, flare = 80.0, 60.0, 40.0, 8.0
    net = Net().rect(0, 0, length, width)
    net.flap((length, 0), (0, 0), slant, -flare).flap((0, width), (length, width), slant, -flare)
    net.flap((0, 0), (0, width), slant, -flare).flap((length, width), (length, 0), slant, -flare)
    for x, y, sx, sy in corners(length, width):
        a, b = (x + sx * slant, y + sy * flare), (x + sx * flare, y + sy * slant)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        net.add((x, y), a, middle).add((x, y), middle, b)
    for y, s in ((-slant, -1), (width + slant, 1)):
        net.rect(-flare + 0.5, y, length + flare - 0.5, y + s * (width / 2 + flare))
    for x, s in ((-slant, -1), (length + slant, 1)):
        net.rect(x, -flare + 0.5, x + s * 25.0, width + flare - 0.5)
    report = seen(net)
    assert report.verdict is Verdict.CLOSED
    assert not errors(report.messages)


def test_a_frill_above_a_gathered_end_stands_up_and_closes_nothing() -> None:
    side, height, petal, deep = 40.0, 60.0, 27.0, 10.0
    net = tube([side] * 4, height, 9.0, right=True, taper=4.0)
    for k in range(4):
        a, b, top = k * side, (k + 1) * side, height + petal
        tip = ((a + b) / 2, top)
        net.add((a, height), (b, height), tip)
        net.add((a, height), tip, (a, top)).add((b, height), (b, top), tip)
        net.rect(a, top, tip[0], top + deep).rect(tip[0], top, b, top + deep)
        net.slit(tip, (tip[0], top + deep))
    report = seen(net)
    rise = math.sqrt(petal**2 - (side / 2) ** 2)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.volume_mm3 == pytest.approx(side**2 * (height + rise / 3), rel=1e-6)
    assert sum(p.duty is Duty.HEADER for p in report.panels) == 8


def test_tabs_that_stand_in_the_room_do_not_belong_to_an_eight_sided_box() -> None:
    """At 90 degrees they would stand free in the room; at 45 they lie on the next wall."""
    n, side, wall = 8, 48.0, 36.0
    base = regular(n, side, (0.0, 0.0), -math.pi / 2 - math.pi / n)
    net = Net().add(*base)
    for k in range(n):
        net.flap(base[(k + 1) % n], base[k], wall)
        q, p = net.panels[-1][1], net.panels[-1][2]
        net.flap(tuple(p), tuple(q), 6.0, 1.5, far=8.0)
    apothem = side / (2 * math.tan(math.pi / n))
    top = regular(n, side, (0.0, -2 * apothem - wall), math.pi / 2 - math.pi / n)
    net.add(*top)
    for k in range(1, n):
        net.flap(top[(k + 1) % n], top[k], 8.0, 6.0)
    report = seen(net)
    assert report.verdict is Verdict.CLOSED
    assert report.volume_mm3 == pytest.approx(area(n, side) * wall, rel=1e-4)


def test_a_short_flap_below_a_long_one_leaves_no_gap_in_the_bottom() -> None:
    """Below, the inner flap ends 4 mm short of the wall; the outer one covers that."""
    net = tube((73, 42, 73, 42), 100)
    for x, wide, deep in ((0, 73, 38.0), (73, 42, 18.0), (115, 73, 29.0), (188, 42, 18.0)):
        net.rect(x + 0.5, 0, x + wide - 0.5, -deep)
    report = seen(net)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.volume_mm3 == pytest.approx(73 * 42 * 100, rel=1e-3)
