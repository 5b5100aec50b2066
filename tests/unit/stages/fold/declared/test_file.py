"""Declarations beside the drawing."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.errors import JobError
from cutprep.model.folded import Certainty, Verdict
from cutprep.stages.fold.declared.file import DeclaredPoint, Expect, FoldDeclarations, as_toml, load_declared
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.folding import angles_of, codes_of, folded
from tests.nets import Sketch, beside, tray, tuck_end

EXAMPLE = """
thickness = "0.5mm"
inside = "up"
grain = 90

[[angle]]
at = [105, 30]
deg = 90

[[mate]]
a = [30, 15]
b = [15, 30]

[[flap]]
at = [16, 15]
onto = [15, 75]

[[open]]
at = [105, 0]

[expect]
inside = ["149.5mm", "89.5mm", "29.75mm"]
tolerance = "0.1mm"
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "angles.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_whole_file(tmp_path: Path) -> None:
    got = load_declared(written(tmp_path, EXAMPLE))
    assert got.thickness == 0.5
    assert got.angles[0][0].xy == (105, 30)
    assert got.angles[0][0].place.line == 7
    assert got.mates[0][1].xy == (15, 30)
    assert got.expect == Expect((149.5, 89.5, 29.75), 0.1, False)
    report = folded(tray(), declared=got)
    assert report.verdict is Verdict.OPEN_BOX
    assert report.thickness == 0.5
    assert [m.source for m in report.mates].count("declared") == 1
    assert "size-wrong" not in codes_of(report)


def test_an_empty_file_is_the_default(tmp_path: Path) -> None:
    assert load_declared(written(tmp_path, "")) == FoldDeclarations()


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("thickness = 0.5", 1, "has no unit"),
        ("inside = 'left'", 1, "not known"),
        ("[[angle]]\nat = [1, 2]\ndeg = 200", 3, "at most 180"),
        ("[[angle]]\nat = [1]\ndeg = 20", 2, "not a place"),
        ("[[angle]]\nat = [1, 2]\nangel = 20\ndeg = 2", 3, "not a known key"),
        ("[[angel]]\nat = [1, 2]", 1, "angle"),
        ("[[gather]]\npoints = [[1, 2]]", 2, "at least 2"),
        ("[[gather]]\npoints = [[1, 2], [3, true]]", 2, "not a place"),
        ("[expect]\ninside = ['1mm', '2mm']", 2, "3 lengths"),
        ("[expect]\nfolds_flat = 1", 2, "true or false"),
        ("thickness = = '0.5mm'", 1, "not TOML"),
    ],
)
def test_mistakes_are_named_with_their_line(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(JobError) as caught:
        load_declared(written(tmp_path, text))
    assert words in str(caught.value)
    assert caught.value.place.line == line


def test_declared_angles_are_never_overridden() -> None:
    report = folded(tray(), declared=FoldDeclarations(angles=((DeclaredPoint((105, 30)), 150.0),)))
    assert report.verdict is Verdict.GAP
    assert report.gap == pytest.approx(30.0, abs=0.01)
    assert any(h.angle == 150.0 for h in report.hinges)


def test_an_angle_of_a_mountain_needs_no_sign() -> None:
    s = tray()
    s.folds = [-1] * len(s.folds)
    report = folded(s, declared=FoldDeclarations(angles=((DeclaredPoint((105, 30)), 90.0),)))
    assert report.verdict is Verdict.OPEN_BOX
    assert angles_of(report) == {-90.0}


def test_inside_down() -> None:
    report = folded(tray(), declared=FoldDeclarations(inside="down"))
    assert angles_of(report) == {-90.0}
    assert not report.inside_up


def test_a_declared_flap_need_not_look_like_one() -> None:
    """Tabs a little wider at their ends than where they hang: two corners stay open until the maker says what they are."""
    s = tray(reach=20, taper=-0.5)
    tabs = [(x, y) for x in (15, 195) for y in (15, 135)]
    onto = tuple((DeclaredPoint((x, y)), DeclaredPoint((15 if x < 105 else 195, 75))) for x, y in tabs)
    plain, report = folded(s), folded(s, declared=FoldDeclarations(flaps=onto))
    assert plain.verdict is Verdict.OPEN_BOX
    assert len(plain.mates) < 4
    assert (report.verdict, len(report.mates)) == (Verdict.OPEN_BOX, 4)
    assert {f.source for f in plain.flaps} == {"inferred"}
    assert {f.source for f in report.flaps} == {"declared"}
    walls = {report.panels[f.target].inner_point[0] < 105 for f in report.flaps if f.target is not None}
    assert walls == {True, False}


def test_a_side_declared_open_stays_open() -> None:
    """One corner of a tray without flaps: both sides there meet nothing, and the others still meet."""
    plain = folded(tray(bare=True))
    report = folded(tray(bare=True), declared=FoldDeclarations(opens=(DeclaredPoint((30, 15)),)))
    assert (plain.verdict, plain.open_sides, len(plain.mates)) == (Verdict.OPEN_BOX, 4, 4)
    assert (report.verdict, report.open_sides, len(report.mates)) == (Verdict.OPEN_EDGES, 6, 3)
    assert "open-edges" in codes_of(report)


@pytest.mark.parametrize(
    ("declared", "what"),
    [
        (FoldDeclarations(angles=((DeclaredPoint((75, 75)), 90.0),)), "score"),
        (FoldDeclarations(angles=((DeclaredPoint((900, 75)), 90.0),)), "part"),
        (FoldDeclarations(mates=((DeclaredPoint((75, 75)), DeclaredPoint((15, 30))),)), "free sides"),
        (FoldDeclarations(gathers=((DeclaredPoint((75, 75)), DeclaredPoint((15, 30))),)), "corner"),
        (FoldDeclarations(flaps=((DeclaredPoint((105, 75)), None),)), "more than one score"),
    ],
)
def test_a_point_that_names_nothing_is_an_error(declared: FoldDeclarations, what: str) -> None:
    with pytest.raises(JobError, match=what):
        folded(tray(), declared=declared)


def test_points_find_their_own_part() -> None:
    drawing = beside(tray(), tuck_end())
    declared = FoldDeclarations(angles=((DeclaredPoint((105, 30)), 150.0),))
    reports = fold(drawing, declared=declared, tolerance=Tolerance())
    verdicts = {len(r.panels): r.verdict for r in reports}
    assert verdicts == {13: Verdict.CLOSED, 9: Verdict.GAP}


def test_what_was_found_can_be_pasted_back(tmp_path: Path) -> None:
    first = folded(tray())
    again = folded(tray(), declared=load_declared(written(tmp_path, as_toml(first))))
    assert again.certainty is Certainty.DECLARED
    assert again.verdict is first.verdict
    assert again.volume_mm3 == pytest.approx(first.volume_mm3)
    assert {f.target for f in again.flaps} == {f.target for f in first.flaps}
    assert all(f.source == "declared" for f in again.flaps)


def test_gathered_corners_come_together() -> None:
    """Four petals with nothing between them, drawn to a point by a declared gather."""
    s = Sketch("flower")
    base = [(0, 0), (50, 0), (50, 50), (0, 50)]
    tips = [(25, -40), (90, 25), (25, 90), (-40, 25)]
    for k in range(4):
        p, q = base[k], base[(k + 1) % 4]
        s.score(p, q).cut(p, tips[k], q)
    gather = FoldDeclarations(gathers=(tuple(DeclaredPoint((float(x), float(y))) for x, y in tips),))
    report = folded(s, declared=gather)
    assert report.gap < 1e-6
    assert report.verdict is Verdict.CLOSED
