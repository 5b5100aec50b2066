"""Windows and lace: of the size asked for, inside the margin, or refused with the room that there is."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutprep.errors import JobError
from cutprep.model.operation import Operation
from cutprep.stages.divide import divide
from cutprep.stages.fold.plan import fold
from cutprep.template.kinds import kind_named
from cutprep.tolerance import Tolerance

#: The base of a tray of 100 by 80 mm in card of no thickness lies between these corners.
BASE = shapely.box(30, 30, 130, 110)


def windows(**words: float | str) -> list[shapely.Polygon]:
    drawing = kind_named("tray").from_values(length=100, width=80, height=30, tab=12, caliper=0, **words)
    template = divide(drawing, Tolerance())
    (part,) = template.parts
    return [shapely.Polygon(template.lines.points(h)) for h in part.holes]


@pytest.mark.parametrize(
    ("shape", "share"),
    [
        # Areas as shares of width times height: ellipse pi / 4, rectangle 1, hexagon 3/4 (plain geometry).
        ("round", math.pi / 4),
        ("rectangle", 1.0),
        ("hexagon", 0.75),
    ],
)
def test_a_window_has_its_size_and_its_area(shape: str, share: float) -> None:
    width, height = (30.0, 30.0 * 2 / math.sqrt(3)) if shape == "hexagon" else (40.0, 24.0)
    (hole,) = windows(**{"window": shape, "window-width": width, "window-height": height})
    low_x, low_y, high_x, high_y = hole.bounds
    assert (high_x - low_x, high_y - low_y) == pytest.approx((width, height), abs=0.02)
    assert hole.area == pytest.approx(share * width * height, rel=2e-3)
    assert shapely.get_coordinates(hole.centroid)[0] == pytest.approx([80, 70], abs=0.01)


def test_a_heart_is_two_arcs_over_a_point() -> None:
    """Two circles side by side over a tip h below their centres, which cross above: two tangents from the tip close it."""
    (hole,) = windows(**{"window": "heart", "window-width": 40, "window-height": 40})
    low_x, low_y, high_x, high_y = hole.bounds
    assert (high_x - low_x, high_y - low_y) == pytest.approx((40, 40), abs=0.02)
    # In its own measure r = 0.28, the centres 0.44 apart and h = 0.72, scaled to 40 by 40: the triangles of the tip and the
    # centre with the touching point and with the crossing above, and a sector of the circle (plain geometry).
    r, c, h = 0.28, 0.22, 0.72
    away, crossing = math.hypot(c, h), math.acos(c / r)
    tangent = math.sqrt(away * away - r * r)
    swept = math.pi - crossing - (math.atan2(-h, -c) + math.acos(r / away))
    half = c * (h + r * math.sin(crossing)) / 2 + r * tangent / 2 + r * r * swept / 2
    assert hole.area == pytest.approx(2 * half * 40 * 40, rel=2e-3)


def test_lace_keeps_its_margin_and_its_bars() -> None:
    cells = windows(window="lace", margin=10)
    assert len(cells) > 30
    assert all(BASE.buffer(-10 + 1e-6).covers(cell) for cell in cells)
    tree = shapely.STRtree(cells)
    for i, cell in enumerate(cells):
        near = [j for j in tree.query(cell.buffer(3)) if j != i]
        assert min(cell.distance(cells[j]) for j in near) == pytest.approx(1.8, abs=1e-6)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"window": "round", "window-width": 90}, "Use one of at most 63.9 x 63.9 mm, or a smaller margin"),
        ({"window": "heart", "margin": 60}, "leaves no room in the base"),
        ({"window": "lace", "margin": 39}, "no cell of the lace fits"),
        ({"window": "hart"}, "Did you mean heart"),
        ({"window": "round", "face": "lid"}, "must be one of base"),
    ],
)
def test_what_cannot_be_cut_is_refused_with_what_would_do(words: dict[str, float | str], says: str) -> None:
    with pytest.raises(JobError) as caught:
        windows(**words)
    assert says in f"{caught.value} {caught.value.fix}"


def written(**words: float | str) -> np.ndarray:
    """All points that the pen draws on the base, (n, 2), mm."""
    lines = kind_named("tray").from_values(length=100, width=80, height=30, tab=12, caliper=0, **words).lines
    return np.concatenate([line.points for line in lines if line.operation is Operation.DRAW])


def test_a_text_stands_in_the_middle_at_its_height() -> None:
    points = written(**{"text": "HIVE", "text-height": 10})
    low, high = points.min(axis=0), points.max(axis=0)
    assert high[1] - low[1] == pytest.approx(10)
    assert (low + high) / 2 == pytest.approx([80, 70], abs=1)


def test_a_long_text_is_written_smaller_and_stays_inside_the_margin() -> None:
    points = written(**{"text": "From the hives behind the church", "text-height": 12, "margin": 5})
    assert all(BASE.buffer(-5).covers(shapely.Point(p)) for p in points)
    assert np.ptp(points[:, 1]) < 12


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("\u65e5\u672c", "has no '\u65e5', '\u672c'"),
        ("honey " * 40, "not even with capitals of 2.5 mm"),
    ],
)
def test_a_text_that_cannot_be_written_is_refused(text: str, says: str) -> None:
    with pytest.raises(JobError, match=says):
        written(text=text)


def test_a_window_and_a_text_are_not_both_put_on_a_face() -> None:
    with pytest.raises(JobError, match="not both"):
        written(text="honey", window="round")


def test_a_box_with_a_text_is_drawn_from_its_outside_and_folds_the_same() -> None:
    plain, told = (kind_named("tray").from_values(**words) for words in ({}, {"text": "honey"}))
    ways = [
        {int(f) for f, o in zip(d.lines.fold, d.lines.operation, strict=True) if o == Operation.SCORE}
        for d in (plain, told)
    ]
    assert ways == [{1}, {-1}]
    one, two = (fold(d, thickness=0.3, tolerance=Tolerance())[0] for d in (plain, told))
    assert (one.verdict, one.inside_mm) == (two.verdict, pytest.approx(two.inside_mm))


def test_a_tag_has_no_inside_and_is_not_turned_over() -> None:
    plain, told = (kind_named("swing-tag").from_values(**words) for words in ({}, {"text": "hi"}))
    assert (plain.lines.points(0) == told.lines.points(0)).all()


@pytest.mark.parametrize(
    ("name", "face", "turn"),
    [
        ("hinged-box", "front", 180.0),
        ("hinged-box", "lid", 0.0),
        ("place-card", "back", 180.0),
        ("tray", "front", 180.0),
        ("tray-with-lid", "lid front", 0.0),
    ],
)
def test_a_text_is_read_upright_on_the_folded_piece(name: str, face: str, turn: float) -> None:
    """A wall that stands up has its free edge above; on the drawing that edge lies below."""
    (place,) = kind_named(name).from_values(text="{name}", face=face, **{"text-height": 5.0}).texts
    assert place.turn == turn
    strokes = kind_named(name).from_values(text="L", face=face, **{"text-height": 5.0}).lines
    pen = np.concatenate(
        [strokes.points(int(i)) for i in np.flatnonzero(strokes.operation == Operation.DRAW)]
    )
    foot = float(np.ptp(pen[:, 1]) / 2 + pen[:, 1].min() - np.median(pen[:, 1]))
    # An L has more corners at its foot than above.
    assert (foot > 0) == (turn == 0.0)


def test_a_slot_to_hang_it_by_is_at_the_upper_side_of_a_wall_that_stands_up() -> None:
    lines = kind_named("hinged-box").from_values(hang=14.0, face="front").lines
    slot = min((lines.points(i) for i in range(len(lines)) if lines.closed[i]), key=len_of)
    assert float(slot[:, 1].min()) == pytest.approx(8.0, abs=0.01)


def len_of(ring: np.ndarray) -> float:
    return float(np.ptp(ring[:, 0]))
