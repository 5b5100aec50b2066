"""From a drawing to reports."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from cutprep.model.drawing import Drawing
from cutprep.model.folded import GOOD, Verdict
from cutprep.model.lines import Lines
from cutprep.model.operation import Fold, Operation
from cutprep.stages.check.inspect import check
from cutprep.stages.fold.declared.file import Expect, FoldDeclarations
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.fold_faults import FAULTS
from tests.folding import angles_of, codes_of, folded
from tests.nets import Sketch, beside, hex_prism, net_of, pillow, swing_tag, tray, webbed_tray

TOLERANCE = Tolerance()


def test_nothing_to_fold() -> None:
    assert fold(Drawing("empty", Lines.empty()), tolerance=TOLERANCE) == ()
    notes = Lines.of([[(0, 0), (9, 9)]], operation=Operation.GUIDE)
    assert fold(Drawing("notes", notes), tolerance=TOLERANCE) == ()


def test_scores_alone_bound_nothing_that_is_cut() -> None:
    lines = Lines.of([[(0, 0), (9, 0)], [(0, 5), (9, 5)]], operation=Operation.SCORE)
    reports = fold(Drawing("lines", lines), tolerance=TOLERANCE)
    assert all(r.verdict is Verdict.FAULTY for r in reports)


def test_a_tag_is_flat_and_fine() -> None:
    report = folded(swing_tag())
    assert report.verdict is Verdict.FLAT
    assert report.ok
    assert report.closes is None


def test_a_card_with_one_score_folds_and_has_nothing_to_close() -> None:
    s = Sketch("card").ring((0, 0), (200, 0), (200, 140), (0, 140)).score((100, 0), (100, 140))
    report = folded(s)
    assert report.verdict is Verdict.LEAF
    assert report.verdict in GOOD
    assert report.closes is None
    assert angles_of(report) == {90.0}


def test_every_part_of_a_drawing_gets_its_report() -> None:
    reports = fold(beside(tray(), swing_tag(), hex_prism()), tolerance=TOLERANCE)
    assert [r.verdict for r in reports] == [Verdict.CLOSED, Verdict.OPEN_BOX, Verdict.FLAT]
    assert [r.name for r in reports] == ["set 1", "set 2", "set 3"]


def test_a_finding_goes_to_the_part_it_lies_at() -> None:
    broken = tray()
    broken.scores[broken.scores.index([(30.0, 0.0), (30.0, 30.0)])] = [(30.0, 1.2), (30.0, 30.0)]
    drawing = beside(broken, hex_prism())
    reports = fold(drawing, tolerance=TOLERANCE, faults=check(drawing, TOLERANCE))
    found = [codes_of(r) for r in sorted(reports, key=lambda r: len(r.panels))]
    assert found == [["drawing-first"], []]


def perforated(sketch: Sketch) -> Drawing:
    drawing = sketch.drawing()
    operation = np.where(
        drawing.lines.operation == Operation.SCORE, Operation.PERFORATE, drawing.lines.operation
    )
    return replace(drawing, lines=drawing.lines.with_operations(operation))


def test_a_perforation_that_parts_panels_is_a_score() -> None:
    report = folded(perforated(tray()))
    assert report.verdict is Verdict.OPEN_BOX
    assert codes_of(report) == []


@pytest.mark.parametrize(
    "operation", [Operation.DRAW, Operation.GUIDE, Operation.PARTIAL_CUT, Operation.UNPLACED]
)
def test_other_lines_are_left_alone(operation: Operation) -> None:
    drawing = tray().drawing()
    extra = Lines.of([[(0, 0), (210, 150)]], operation=operation)
    report = folded(replace(drawing, lines=Lines.concat([drawing.lines, extra])))
    assert len(report.panels) == 9
    assert codes_of(report) == []


def test_a_layers_angle_is_taken() -> None:
    s = tray()
    s.layers = ["score valley 90"] * len(s.layers)
    report = folded(s)
    assert all(h.declared == 90.0 for h in report.hinges)
    assert report.gap < 1e-9


def test_a_wrong_angle_in_a_layer_does_not_close() -> None:
    s = tray()
    s.layers[0] = "score valley 150"
    report = folded(s)
    assert report.verdict is Verdict.GAP
    assert report.gap == pytest.approx(30, abs=0.01)


def test_mountains_everywhere_put_the_seen_side_outside() -> None:
    s = tray()
    s.folds = [int(Fold.MOUNTAIN)] * len(s.folds)
    report = folded(s)
    assert not report.inside_up
    assert angles_of(report) == {-90.0}
    assert codes_of(report) == []
    assert report.inside_mm == pytest.approx((150, 90, 30))


def test_one_score_drawn_the_wrong_way_is_named() -> None:
    s = tray()
    s.folds = [int(Fold.VALLEY)] * len(s.folds)
    s.folds[2] = int(Fold.MOUNTAIN)
    report = folded(s)
    (finding,) = report.found("fold-direction")
    assert finding.places[0].xy == pytest.approx((105, 120))
    assert report.verdict is Verdict.OPEN_BOX


@pytest.mark.parametrize("exploded", [False, True])
def test_curved_scores_are_never_called_closed(exploded: bool) -> None:
    s = pillow()
    if exploded:
        for _ in range(4):
            line = s.take_score(0)
            for p, q in pairwise(line):
                s.score(p, q)
    report = folded(s)
    assert report.verdict is Verdict.CURVED
    assert report.closes is None
    assert not report.ok
    assert codes_of(report).count("curved-score") == 4


def test_too_many_panels_are_not_solved_and_never_ok() -> None:
    s = Sketch("strip")
    s.ring((0, 0), (2 * 520, 0), (2 * 520, 20), (0, 20))
    for k in range(1, 520):
        s.score((2 * k, 0), (2 * k, 20))
    report = folded(s)
    assert report.verdict is Verdict.NOT_SOLVED
    assert not report.ok


def test_messages_name_the_drawings_file_and_layer() -> None:
    drawing = next(p for p in FAULTS if p.name == "panel on nothing").make()
    elements = tuple(
        replace(e, file="tray.svg", line=n, tag="path", ident=f"p{n}") for n, e in enumerate(drawing.elements)
    )
    report = folded(replace(drawing, lines=replace(drawing.lines, elements=elements)))
    place = report.messages[0].places[0]
    assert place.file == "tray.svg"
    assert place.layer == "cut"
    assert place.element is not None
    assert place.element.startswith("path 'p")


def test_thick_card_without_allowance_is_noted() -> None:
    assert codes_of(folded(tray(), thickness=0.5)) == ["no-allowance"]
    assert codes_of(folded(tray(), thickness=0.3)) == []
    assert codes_of(folded(webbed_tray(), thickness=0.5)) == []  # no glue flap


def test_the_gap_allowed_grows_with_card_and_snapping() -> None:
    assert folded(tray()).allowed_gap == 0.5
    assert folded(tray(), thickness=0.6).allowed_gap == pytest.approx(1.2)


@pytest.mark.parametrize(("grain", "found"), [(0.0, False), (90.0, True), (180.0, False), (None, False)])
def test_grain_against_the_main_folds(grain: float | None, found: bool) -> None:
    """The tray's long scores run along x."""
    report = folded(tray(bare=True), declared=FoldDeclarations(grain=grain))
    assert ("grain-across" in codes_of(report)) is found


@pytest.mark.parametrize(
    ("inside", "codes"),
    [
        ((150, 90, 30), []),
        ((90, 150, 30), []),
        ((150, 90, 31), ["size-wrong"]),
        ((30, 90, 150), ["size-wrong"]),
    ],
)
def test_expected_inside_of_an_open_box(inside: tuple[float, float, float], codes: list[str]) -> None:
    assert codes_of(folded(tray(), declared=FoldDeclarations(expect=Expect(inside)))) == codes


def test_a_closed_box_may_be_named_in_any_order() -> None:
    report = folded(net_of("cube", 40), declared=FoldDeclarations(expect=Expect((40, 40, 40))))
    assert codes_of(report) == []


def test_an_expected_size_of_what_has_none() -> None:
    s = tray()
    s.layers[0] = "score valley 150"
    report = folded(s, declared=FoldDeclarations(expect=Expect((150, 90, 30))))
    assert {"size-wrong", "size-unknown"} & set(codes_of(report))


def test_a_panel_cut_off_is_told_with_the_cut_that_should_be_a_score() -> None:
    drawing = tray(bare=True).drawing()
    lines = drawing.lines
    cut_off = [np.allclose(sorted(lines.points(k)[[0, -1], 1]), [30.0, 30.0]) for k in range(len(lines))]
    operation = np.where(cut_off, int(Operation.CUT), lines.operation)
    (report,) = fold(replace(drawing, lines=replace(lines, operation=operation)), tolerance=TOLERANCE)
    (told,) = report.found("loose")
    assert told.fix.startswith("Make the cut of 150.0 mm between them a score")
    assert told.places[1].xy == pytest.approx((105.0, 30.0))
