"""Planted faults: each gives its finding at its place, and a clean net gives none."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check as inspect
from cutprep.stages.fold.plan import fold
from tests.fold_faults import FAULTS, WRONG, Planted
from tests.folding import TOLERANCE, codes_of, folded
from tests.nets import Sketch, hex_prism, net_of, ngon_tray, tray, tuck_end, webbed_tray


def check(planted: Planted) -> None:
    drawing = planted.make()
    faults = inspect(drawing, TOLERANCE)
    reports = fold(drawing, declared=planted.declared, tolerance=TOLERANCE, faults=faults)
    report, messages = reports[0], [m for r in reports for m in r.messages]
    if planted.code:
        messages += [f for f in faults if f.severity is not Severity.NOTE]
    hits = [m for m in messages if m.code == planted.code]
    codes = [m.code for m in messages]
    if planted.code:
        assert hits, codes
        assert all(m.problem and m.fix and m.places for m in hits)
        told = [m for m in hits if m not in faults]  # what the check finds, fold need not call an error
        assert not report.ok or all(m.severity is not Severity.ERROR for m in told)
    else:
        assert all(m.severity is Severity.NOTE for m in messages), codes
    if planted.xy is not None:
        assert any(math.dist(p.xy, planted.xy) < 1.0 for m in hits for p in m.places if p.xy)
    if planted.measure is not None:
        assert any(m.measure is not None and abs(m.measure - planted.measure) <= planted.within for m in hits)
    if planted.verdict is not None:
        assert report.verdict is planted.verdict
    if planted.gap is not None:
        assert report.gap == pytest.approx(planted.gap, abs=0.01)
    assert set(planted.also) <= set(codes)


@pytest.mark.parametrize("planted", FAULTS, ids=lambda p: p.name)
def test_planted_fault(planted: Planted) -> None:
    check(planted)


@pytest.mark.parametrize("planted", WRONG, ids=lambda p: p.name)
def test_wrong_net(planted: Planted) -> None:
    check(planted)


@pytest.mark.parametrize(
    "sketch",
    [tray(), tuck_end(), hex_prism(), webbed_tray(), ngon_tray(6), net_of("octahedron", 50)],
    ids=lambda s: s.name,
)
def test_clean_nets_give_none(sketch: Sketch) -> None:
    report = folded(sketch)
    assert codes_of(report) == []
    assert report.ok


def test_an_uneven_wall_is_named_with_its_mend() -> None:
    """The wall of 32 mm is the culprit, not the two it meets."""
    report = folded(tray(far_wall=32))
    (finding,) = report.found("side-length")
    wall = max((p for p in report.panels), key=lambda p: p.outline[:, 1].max())
    assert f"panel {wall.name} are 2.00 mm longer" in finding.problem
    assert f"Make panel {wall.name} 2.00 mm smaller" in finding.fix


def told(drawing: Drawing) -> tuple[list[str], list[str]]:
    """Codes of the check, notes left out, and of the fold that knows of them."""
    faults = inspect(drawing, TOLERANCE)
    reports = fold(drawing, tolerance=TOLERANCE, faults=faults)
    found = [f.code for f in faults if f.severity is not Severity.NOTE]
    return found, [m.code for r in reports for m in r.messages if m.severity is not Severity.NOTE]


def test_after_a_fault_of_the_drawing_nothing_that_follows_is_told() -> None:
    """One message says what is wrong, and one that the fold suffers from it."""
    assert told(next(p for p in FAULTS if p.code == "open-outline").make()) == (
        ["open-outline"],
        ["drawing-first"],
    )
    short = tray()
    k = short.scores.index([(30.0, 0.0), (30.0, 30.0)])
    short.scores[k] = [(30.0, 1.2), (30.0, 30.0)]
    assert told(short.drawing()) == (["score-short-of-outline"], ["drawing-first"])


def test_a_side_that_ends_far_from_its_corner_is_an_open_outline() -> None:
    s = tray()
    k = s.cuts.index([(30.0, 0.0), (180.0, 0.0)])
    s.cuts[k] = [(30.0, 0.0), (60.0, 0.0)]
    assert told(s.drawing()) == (["open-outline"], ["drawing-first"])


def test_cuts_that_run_a_little_past_a_corner_are_let_pass() -> None:
    s = tray()
    k = s.cuts.index([(30.0, 0.0), (180.0, 0.0)])
    s.cuts[k] = [(28.0, 0.0), (182.0, 0.0)]
    assert codes_of(folded(s)) == []


def test_a_part_bounded_by_a_score_has_no_edge_there() -> None:
    s = tray()
    s.cuts.remove([(30.0, 0.0), (180.0, 0.0)])
    s.score((30, 0), (180, 0))
    assert told(s.drawing()) == (["open-outline"], ["drawing-first"])


def test_a_score_in_mid_panel() -> None:
    """The check tells of it; the box closes all the same."""
    assert told(tray().score((100, 60), (100, 90)).drawing()) == (["score-ends-in-panel"] * 2, [])


def test_a_perforation_in_mid_panel_is_quiet() -> None:
    drawing = tray().drawing()
    extra = Lines.of([[(100, 60), (100, 90)]], operation=Operation.PERFORATE)
    report = folded(replace(drawing, lines=Lines.concat([drawing.lines, extra])))
    assert codes_of(report) == []
