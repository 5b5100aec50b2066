"""The whole of mending."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Severity
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import ASKED, KEEP, Mending
from tests.drawn import LIMITS, Pen, arc, box, codes


def mended(pen: Pen, **options: object) -> tuple[Lines, list[Finding]]:
    """Mended lines and what was told."""
    drawing, found = mend(pen.drawing, LIMITS, Mending(**options))
    return drawing.lines, list(found)


SPOILT = (
    Pen()
    .cut([(0.3, 0), (30, 0)], [(30, 0), (30, 20)], [(30, 20), (0, 20)], [(0, 20), (0, 0)])
    .cut([(20, 0), (5, 0)], [(9, 9), (9.2, 9)])
    .score([(15, 0), (15, 21)], [(0, 10), (14, 10)])
)


def test_a_spoilt_part_is_made_whole() -> None:
    """Doubled, open, with a crumb, a fold too long and one too short."""
    lines, found = mended(SPOILT)
    assert sorted(f.code for f in found) == [
        "closed-gap", "extended-score", "joined-lines", "removed-crumb", "removed-double", "trimmed-score",
    ]  # fmt: skip
    assert lines.operation.tolist() == [Operation.CUT, Operation.SCORE, Operation.SCORE]
    assert lines.closed.tolist() == [True, False, False]
    assert lines.lengths.tolist() == pytest.approx([100, 20, 15])
    assert codes(Drawing("mended", lines)) == []


def test_every_change_says_before_and_after() -> None:
    """As a note with a place and a figure."""
    _, found = mended(SPOILT)
    for change in found:
        assert change.severity is Severity.NOTE
        assert change.problem.endswith(".")
        assert change.fix.endswith(".")
        assert change.places[0].xy is not None
        assert change.measure is not None


def test_mending_twice_changes_nothing() -> None:
    """The very same lines come back."""
    drawing, _ = mend(SPOILT.drawing, LIMITS)
    again, found = mend(drawing, LIMITS)
    assert again.lines is drawing.lines
    assert found == ()


def test_a_score_under_a_cut_is_the_maker_s_choice() -> None:
    """Left and told; or the cut stays; or the score."""
    pen = Pen().cut(box(0, 0, 30, 20)).score([(30, 4), (30, 12)])
    lines, found = mended(pen)
    assert len(lines) == 2
    assert [(f.code, f.severity) for f in found] == [("left-as-drawn", Severity.WARNING)]
    lines, found = mended(pen, keep="cut")
    assert lines.operation.tolist() == [Operation.CUT]
    assert [f.code for f in found] == ["removed-under"]
    lines, _ = mended(pen, keep="score")
    assert lines.lengths.sum() == pytest.approx(100)
    assert lines.operation.tolist() == [Operation.CUT, Operation.SCORE]


def test_the_outline_decides_which_line_stays() -> None:
    """The cut where it bounds the card, also with a gap beside it; the score where card lies on both sides."""
    side = Pen().cut([(0.3, 0), (30, 0)], [(30, 0), (30, 20)], [(30, 20), (0, 20)], [(0, 20), (0, 0)])
    lines, _ = mended(side.score([(0, 0), (30, 0)], [(15, 0), (15, 20)]), keep="outline")
    assert lines.operation.tolist() == [Operation.CUT, Operation.SCORE]
    assert lines.closed.tolist() == [True, False]
    hinge = Pen().cut(*zip(box(0, 0, 30, 20)[:-1], box(0, 0, 30, 20)[1:], strict=True))
    lines, found = mended(
        hinge.cut([(15, 20), (15, 0)], [(15, 0), (15, 20)]).score([(15, 0), (15, 20)]), keep="outline"
    )
    assert lines.operation.tolist() == [Operation.CUT, Operation.SCORE]
    assert lines.lengths.tolist() == [100, 20]
    assert {f.code for f in found} == {"removed-double", "removed-under", "joined-lines"}


def test_limits_are_kept() -> None:
    """No gap, no trim, or narrower ones."""
    lines, found = mended(SPOILT, gap=0, trim=0.5)
    assert "closed-gap" not in {f.code for f in found}
    assert "trimmed-score" not in {f.code for f in found}
    assert not lines.closed.any()
    assert "closed-gap" not in {f.code for f in mended(SPOILT, gap=0.2)[1]}


def test_layers_and_elements_stay() -> None:
    """A joined line keeps the layer, the colour and the source of its longest piece."""
    drawing, _ = mend(SPOILT.drawing, LIMITS)
    assert drawing.elements is SPOILT.drawing.elements or drawing.elements == SPOILT.drawing.elements
    assert [line.layer for line in drawing.lines] == ["cut", "score", "score"]


def test_rules_and_page_stay() -> None:
    """What is known of the drawing is still known."""
    start = replace(SPOILT.drawing, page=(100.0, 100.0), rules=("x",) * 8)
    drawing, _ = mend(start, LIMITS)
    assert drawing.page == (100.0, 100.0)
    assert len(drawing.rules) == len(drawing.elements)


def test_guides_are_left_alone() -> None:
    """Whatever is drawn twice among them."""
    guides = Drawing("x", Lines.of([[(0, 0), (9, 0)]] * 2, operation=Operation.GUIDE))
    assert mend(guides, LIMITS) == (guides, ())


def test_what_is_done_only_when_asked() -> None:
    """Straightening and rejoining."""
    pen = Pen().cut([(0, 0), (10, 0.02), (20, 0), (20, 9), (0, 9), (0, 0)])
    assert mended(pen)[1] == []
    lines, found = mended(pen, ask=frozenset({"straighten"}))
    assert [f.code for f in found] == ["straightened"]
    assert lines.counts.tolist() == [5]
    stub = Pen().cut(box(0, 0, 30, 20), [(9, 9), (9, 11)], [(20, 0), (20, 2)])
    assert len(mended(stub)[0]) == 3
    lines, found = mended(stub, ask=frozenset({"stubs"}))
    assert [f.code for f in found] == ["removed-stub"]
    assert lines.lengths.tolist() == [100, 2]
    parts = [arc((0, 0), 9, k, k + 90) for k in range(0, 360, 90)]
    flags = [np.concatenate(([False], np.ones(len(p) - 2, bool), [False])) for p in parts]
    drawn = Lines.of(parts, operation=Operation.CUT, curved=flags)
    plain, _ = mend(Drawing("x", drawn), LIMITS)
    smooth, _ = mend(Drawing("x", drawn), LIMITS, Mending(ask=frozenset({"arcs"})))
    assert smooth.lines.curved.sum() > plain.lines.curved.sum()


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"keep": "cuts"}, "'cuts' says nothing about lines on each other. Did you mean cut?"),
        (
            {"keep": "all"},
            "'all' says nothing about lines on each other. Known: report, cut, score, outline.",
        ),
        ({"ask": frozenset({"arc"})}, "'arc' is nothing that can be mended when asked. Did you mean arcs?"),
        ({"gap": -1.0}, "the limit of mending is -1 mm. Give 0 mm or more."),
        ({"trim": -0.5}, "the limit of mending is -0.5 mm. Give 0 mm or more."),
    ],
)
def test_unknown_words_and_limits_are_refused_with_what_is_known(options: dict, says: str) -> None:
    with pytest.raises(JobError) as refused:
        mended(SPOILT, **options)
    assert str(refused.value) == says


def test_every_known_word_and_no_limit_at_all_are_taken() -> None:
    for keep in KEEP:
        for ask in ASKED:
            assert mended(SPOILT, keep=keep, ask=frozenset({ask}), gap=0.0, trim=0.0)[1]


@pytest.mark.parametrize("lines", [[], [[(0, 0), (0, 0)]], [[(0, 0), (9, 0)]]])
def test_little_to_mend(lines: list) -> None:
    """No line, a point, one line: nothing is lost but the point, and that is told."""
    made, found = mended(Pen().cut(*lines))
    assert made.lengths.sum() == sum(9 for line in lines if line[0] != line[1])
    assert [f.code for f in found] == ["removed-crumb" for line in lines if line[0] == line[1]]


def test_a_hundred_thousand_copies_are_one_line() -> None:
    """In bounded time, with a report that can be read."""
    n = 100_000
    xy = np.tile([(0.0, 0.0), (50.0, 10.0)], (n, 1)) + np.random.default_rng(2).uniform(
        -0.01, 0.01, (2 * n, 2)
    )
    ones = np.ones(n)
    lines = Lines(
        xy, np.arange(0, 2 * n + 1, 2), ones * Operation.CUT, ones * 0, ones * 0, np.zeros(2 * n, bool)
    )
    drawing, found = mend(Drawing("x", lines), LIMITS)
    assert len(drawing.lines) == 1
    assert len(found) == 2001
    assert sum(f.measure or 0 for f in found) == pytest.approx((n - 1) * np.hypot(50, 10), rel=0.001)


def test_dashes_of_a_row_end_where_they_end() -> None:
    """A broken score that stops short of the edge, or goes on a little beyond it, is none that was drawn wrong."""
    row = [[(15, t), (15, t + 3)] for t in np.arange(0.0, 23.0, 4.5).tolist()]
    lines, found = mended(Pen().cut(box(0, 0, 30, 20)).score(*row))
    assert not found
    assert len(lines) == len(row) + 1
