"""Templates from dimensions: clean, of the right size, and refused when they make no sense."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import shapely

import cutprep
from cutprep.errors import JobError
from cutprep.model.findings.finding import Severity
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from cutprep.stages.divide import divide
from cutprep.stages.fold.plan import fold
from cutprep.stages.read.reader import read
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.stages.write.svg_file import write_svg
from cutprep.template.flats.soft import bow
from cutprep.template.kind import KindOfTemplate
from cutprep.template.kinds import KINDS, kind_named
from cutprep.tolerance import Tolerance
from tests.folding import folded_kind

EVERY = pytest.mark.parametrize("kind", list(KINDS.values()), ids=lambda k: k.name)


def area(kind: str, **values: float) -> float:
    """Area of all parts of a template, holes taken off, mm2."""
    template = divide(kind_named(kind).from_values(**values), Tolerance())
    total = 0.0
    for part in template.parts:
        total += shapely.Polygon(
            template.lines.points(part.outline), [template.lines.points(h) for h in part.holes]
        ).area
    return total


@EVERY
def test_a_template_is_clean(kind: KindOfTemplate) -> None:
    findings = check(kind.from_values(), Tolerance(), blade_offset=0.25)
    assert not [f for f in findings if f.severity is not Severity.NOTE], findings


#: Kinds of many pieces that lie one above the other in the drawing, on the sheet that holds them all.
LARGE = {"star-box": (594.0, 420.0), "exploding-box": (420.0, 1000.0)}


@EVERY
def test_check_has_nothing_to_say_of_it(kind: KindOfTemplate) -> None:
    """Not even a note on A3; only a divider draws a strip as often as it is needed, and that is noticed."""
    sheet = LARGE.get(kind.name, (420.0, 297.0))
    codes = {f.code for f in check(kind.from_values(), Tolerance(), blade_offset=0.25, sheet=sheet)}
    assert codes <= ({"copies-in-drawing"} if kind.name == "divider" else set())


CLOSES = [
    ("tray", {"length": 92, "width": 24, "height": 32, "tab": 6}),
    ("tray", {"length": 40, "width": 150, "height": 21, "tab": 18}),
    ("tray-with-lid", {"length": 185, "width": 39, "height": 60, "lid": 8}),
    ("tuck-carton", {"length": 42, "width": 12, "height": 96, "tuck": 6, "caliper": 0.6}),
    ("sleeve", {"length": 160, "width": 120, "height": 180, "caliper": 0.9}),
    ("prism-carton", {"sides": 3, "width": 60, "height": 30, "flap": 6, "seam": 8}),
    ("prism-carton", {"sides": 5, "width": 72, "height": 30, "flap": 9, "seam": 12, "caliper": 0.9}),
    ("prism-carton", {"sides": 8, "width": 90, "height": 20, "flap": 6, "seam": 9}),
    ("gathered-box", {"sides": 4, "width": 84, "height": 48, "gather": 51, "flap": 16, "seam": 30}),
    ("gathered-box", {"sides": 6, "width": 60, "height": 40, "gather": 34, "caliper": 0.6}),
    ("pyramid", {"sides": 3, "width": 60, "height": 90}),
    ("pyramid", {"sides": 6, "width": 100, "height": 60}),
    ("band", {"length": 112, "height": 90, "width": 12, "overlap": 21, "caliper": 0.5}),
    ("band", {"length": 24, "height": 30, "width": 25, "overlap": 15}),
]


@pytest.mark.parametrize(("kind", "values"), CLOSES)
def test_it_closes_and_folding_finds_nothing(kind: str, values: dict[str, float]) -> None:
    caliper = values.get("caliper", 0.3)
    drawing = kind_named(kind).from_values(**values)
    for report in fold(drawing, thickness=caliper, tolerance=Tolerance()):
        assert report.closes, report.verdict
        # That a lid goes over its tray, and with how much play, is told as good news.
        assert [m for m in report.messages if (m.code, m.severity) != ("fit", Severity.NOTE)] == []


@EVERY
def test_no_point_is_drawn_twice(kind: KindOfTemplate) -> None:
    """Also where two runs of an outline meet in a point: three walls, or a tag that is round at its top."""
    drawn = [kind.from_values()]
    fewest = [d.least for d in kind.dimensions if d.name == "sides"]
    if fewest:
        drawn.append(kind.from_values(sides=fewest[0]))
    if kind.name == "swing-tag":
        drawn.append(kind.from_values(width=12, corner=6, edge=2))
    for drawing in drawn:
        for line in drawing.lines:
            assert (np.hypot(*np.diff(line.points, axis=0).T) > 1e-6).all()


@EVERY
def test_its_lower_left_is_the_origin_and_the_page_fits(kind: KindOfTemplate) -> None:
    drawing = kind.from_values()
    assert drawing.page is not None
    assert drawing.lines.bounds == pytest.approx((0, 0, *drawing.page))


@EVERY
@pytest.mark.parametrize("suffix", ["svg", "dxf"])
def test_it_survives_a_file(kind: KindOfTemplate, suffix: str, tmp_path: Path) -> None:
    drawing = kind.from_values()
    text = (
        write_svg(drawing.lines, page=drawing.page, keep=True)
        if suffix == "svg"
        else write_dxf(drawing.lines, keep=True)
    )
    path = tmp_path / f"t.{suffix}"
    path.write_text(text, encoding="utf-8")
    again = read(path, tolerance=Tolerance())
    assert len(again.lines) == len(drawing.lines)
    assert again.lines.bounds == pytest.approx(drawing.lines.bounds, abs=0.001)
    assert again.lines.lengths.sum() == pytest.approx(drawing.lines.lengths.sum(), abs=0.01)


@EVERY
def test_it_folds_from_its_file_as_it_folds_from_its_dimensions(kind: KindOfTemplate, tmp_path: Path) -> None:
    """A tag with round corners comes back with no sharp corner at all, which folding once stumbled over."""
    drawing = kind.from_values()
    path = tmp_path / "t.svg"
    path.write_text(write_svg(drawing.lines, page=drawing.page, keep=True), encoding="utf-8")
    again = fold(cutprep.read(path), thickness=kind.values().get("caliper", 0.0), tolerance=Tolerance())
    assert [r.verdict for r in again] == [r.verdict for r in folded_kind(kind.name)]


@EVERY
def test_every_dimension_can_be_said_in_words(kind: KindOfTemplate) -> None:
    words = {d.name: f"{d.default / 25.4!r}in" if d.plain else d.say(d.default) for d in kind.all_dimensions}
    said, plain = kind.from_words(words), kind.from_values()
    assert said.lines.lengths == pytest.approx(plain.lines.lengths)


@EVERY
def test_values_beyond_the_limits_are_refused_with_them(kind: KindOfTemplate) -> None:
    for d in kind.all_dimensions:
        if d.choices or d.text:
            continue
        for value in (d.most + 1, d.least - 1):
            with pytest.raises(JobError) as refused:
                kind.from_values(**{d.name: value})
            text = str(refused.value)
            assert text.startswith(f"{d.name} is {value:g}"), text
            unit = "" if d.count else " mm"
            assert f" must be from {d.least:g}{unit} to {d.most:g}{unit}" in text


@pytest.mark.parametrize(
    ("kind", "values", "reason"),
    [
        ("tray", {"tab": 40}, "tabs of 40 mm don't fit into the corners of 30.15 mm. Use a tab of at most 29.1 mm."),
        ("tray", {"length": 20, "tab": 14}, "two tabs of 14 mm meet along a wall of 20.3 mm. Use smaller tabs."),
        ("tray-with-lid", {"lid": 60}, "a lid of 60 mm is higher than the tray of 30 mm. Use a lower lid."),
        ("prism-carton", {"flap": 20}, "flaps of 20 mm on sides of 21.0 mm would come to a point. Use a flap of at most 8.7 mm."),
        ("prism-carton", {"seam": 30}, "the glue flap of 30 mm is wider than the wall of 21.0 mm it goes under. Use a narrower seam or a larger width."),
        ("tuck-carton", {"tuck": 50}, "tuck flaps of 50 mm meet inside a height of 90 mm. Use a shorter tuck."),
        ("tuck-carton", {"length": 12, "seam": 15}, "the glue flap of 15 mm is wider than the wall of 12 mm it goes under. Use a narrower seam."),
        ("sleeve", {"length": 10, "seam": 20}, "the glue flap of 20 mm is wider than the wall of 10 mm it goes under. Use a narrower seam."),
        ("sleeve", {"height": 12, "seam": 20}, "the glue flap tapers to a point. Use a narrower seam."),
        ("band", {"overlap": 90}, "the overlap is longer than the side it lies on. Use a shorter overlap."),
        ("gathered-box", {"gather": 20}, "a strip of 20 mm does not reach the middle, 25.1 mm away. Use at least 26.4 mm."),
        ("gathered-box", {"width": 20, "gather": 15, "flap": 40}, "the flaps would come to a point. Use narrower flaps."),
        ("gathered-box", {"sides": 8, "seam": 30}, "the flaps would come to a point. Use narrower flaps."),
        ("pyramid", {"width": 20, "height": 20, "flap": 30}, "flaps of 30 mm would come to a point on edges of 24.5 mm. Use a narrower flap."),
        ("pillow-box", {"bow": 40}, "curves of 40 mm are too deep for 60 mm. Use at most 20 mm."),
        ("pillow-box", {"length": 30, "bow": 12}, "the curved flaps meet in the middle. Use a longer box."),
        ("envelope", {"flap": 80}, "the side flaps meet in the middle. Use narrower flaps."),
        ("swing-tag", {"corner": 30}, "corners of 30 mm are too round for 40 x 70 mm. Use a smaller corner."),
        ("swing-tag", {"hole": 35}, "a hole of 35 mm leaves less than 5 mm of card around it. Use a smaller hole or a larger tag."),
        ("swing-tag", {"width": 60, "height": 13.5, "corner": 2}, "a hole of 4 mm leaves less than 5 mm of card around it. Use a smaller hole or a larger tag."),
        ("divider", {"caliper": 3, "play": 2, "columns": 40}, "the slots are wider than the cells between them. Use fewer cells or a thinner card."),
        ("lace", {"width": 20, "border": 9, "cell": 30}, "no cell fits into the panel. Use smaller cells or a larger panel."),
    ],
)  # fmt: skip
def test_nonsense_is_refused_with_the_reason(kind: str, values: dict[str, float], reason: str) -> None:
    with pytest.raises(JobError) as refused:
        kind_named(kind).from_values(**values)
    assert str(refused.value) == reason


def test_unknown_names_get_the_near_one() -> None:
    with pytest.raises(JobError, match="Did you mean tray"):
        kind_named("tary")
    with pytest.raises(JobError, match="Did you mean length"):
        kind_named("tray").from_words({"lenght": "3mm"})
    with pytest.raises(JobError, match="no 'lenght'"):
        kind_named("tray").from_values(lenght=3)
    with pytest.raises(JobError, match="whole number"):
        kind_named("divider").from_words({"rows": "2.5"})


def test_area_of_a_sleeve_is_its_walls_and_its_flap() -> None:
    flap = 10 * (60 - 10 * 0.268)
    assert area("sleeve", length=80, width=40, height=60, seam=10, caliper=0) == pytest.approx(
        2 * 120 * 60 + flap
    )


def test_area_of_a_pyramid() -> None:
    """Square pyramid: base a^2, four triangles a s / 2 with the slant s, and the flaps (Pythagoras)."""
    a, h, f = 50.0, 60.0, 8.0
    slant = math.hypot(h, a / 2)
    edge = math.hypot(slant, a / 2)
    foot = math.atan2(slant, a / 2)
    apex = math.pi - 2 * foot
    ends = f / math.tan(math.radians(50)) + f / math.tan(min(math.radians(50), apex - math.radians(3)))
    flap = f * (edge - ends / 2)
    assert area("pyramid", sides=4, width=a, height=h, flap=f) == pytest.approx(
        a * a + 2 * a * slant + 4 * flap
    )


def test_area_of_a_hexagonal_carton_without_its_flaps() -> None:
    """Prism of side a and height h: 6 a h + 3 sqrt(3) a^2; flaps and seam come on top, by their own closed form."""
    side, h, f, seam = 30 / math.sqrt(3) * 2, 50.0, 7.0, 9.0
    whole = area("prism-carton", sides=6, width=side * math.sqrt(3), height=h, flap=f, seam=seam, caliper=0)
    slant = math.radians(48)
    flaps = 10 * f * (side - f / math.tan(slant))
    glue = seam * (h - seam * math.tan(slant + math.radians(2)))
    assert whole == pytest.approx(6 * side * h + 3 * math.sqrt(3) * side**2 + flaps + glue)


def test_a_wrap_of_six_inches_scored_every_inch_and_a_half_gives_four_equal_sides() -> None:
    """Common practice, no published source."""
    inch = 25.4
    d = kind_named("band").from_values(length=1.5 * inch, height=1.5 * inch, width=30, overlap=15, caliper=0)
    xs = sorted(line.points[0][0] for line in d.lines if line.operation is Operation.SCORE)
    assert xs == pytest.approx([1.5 * inch * i for i in range(1, 5)])


def test_slots_of_a_divider_are_half_its_height_and_as_wide_as_card_and_play() -> None:
    d = kind_named("divider").from_values(height=26, columns=3, rows=2, caliper=0.3, play=0.2)
    template = divide(d, Tolerance())
    assert len(template.parts) == 1 + 2
    plain = 131 * 26 + 2 * 77 * 26
    assert area("divider", height=26, columns=3, rows=2, caliper=0.3, play=0.2) == pytest.approx(
        plain - 4 * 13 * 0.5
    )


def test_a_gathered_petal_reaches_the_middle() -> None:
    """A petal of length p over an inside radius r stands at acos(r / p): 35 over 25 gives 44.415 degrees."""
    assert math.degrees(math.acos(25 / 35)) == pytest.approx(90 - math.degrees(math.asin(25 / 35)))
    d = kind_named("gathered-box").from_values(sides=4, width=50, height=60, gather=35, caliper=0)
    petals = [
        line for line in d.lines
        if line.operation is Operation.SCORE and 0 < abs(line.points[0][0] - line.points[1][0]) < 30
        and abs(line.points[0][1] - line.points[1][1]) > 30
    ]  # fmt: skip
    assert len(petals) == 8
    assert petals[0].points[-1] - petals[0].points[0] == pytest.approx([25, 35])


def test_a_bow_rises_by_what_is_asked_and_keeps_its_ends() -> None:
    points = bow((0, 0), (60, 0), 12, 0.02)
    assert points[0].tolist() == [0, 0]
    assert points[-1].tolist() == [60, 0]
    assert points[:, 1].min() == pytest.approx(-12, abs=0.03)
    centre, radius = np.array([30, 31.5]), 43.5  # (30^2 + 12^2) / (2 x 12)
    assert np.hypot(*(points - centre).T) == pytest.approx(radius)


def test_a_lid_is_as_large_as_the_tray_outside_and_its_play() -> None:
    tray = kind_named("tray").from_values(length=100, width=60, height=30, tab=12, caliper=0.5)
    # Two calipers for the walls, two more across the tabs glued into the long walls, and play on both sides.
    lid = kind_named("tray").from_values(
        length=100 + 1 + 0.8, width=60 + 2 + 0.8, height=15, tab=12, caliper=0.5
    )
    both = kind_named("tray-with-lid").from_values(
        length=100, width=60, height=30, tab=12, caliper=0.5, lid=15, play=0.4, apart=5
    )
    assert tray.page is not None
    assert lid.page is not None
    assert both.page is not None
    assert both.page[1] == pytest.approx(tray.page[1] + 5 + lid.page[1])
