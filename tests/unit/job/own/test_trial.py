"""Which figures a trial tries, and what it refuses."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.errors import CutprepError
from cutprep.job.own.trial import Span, figures_of, require_allowed, said, unknown_limit
from cutprep.profile import shelf

MACHINE = shelf.machine("mat-cutter-300")
UNSAID = replace(MACHINE, tools=tuple(replace(tool, most_force=0.0) for tool in MACHINE.tools))
MUTE = replace(MACHINE, tools=tuple(replace(tool, force=float("nan")) for tool in MACHINE.tools))


def test_usual_figures_lie_around_the_present_one() -> None:
    assert figures_of("force", MACHINE, Span(steps=3)) == (60, 120, 180)
    assert figures_of("score", MACHINE, Span(steps=3)) == (80, 160, 240)
    assert figures_of("offset", MACHINE, Span(steps=5)) == (0.05, 0.15, 0.25, 0.35, 0.45)
    assert figures_of("overcut", MACHINE, Span(steps=8))[:3] == (0, 0.2, 0.4)
    assert figures_of("pass", MACHINE, Span(last="3")) == (1, 2, 3)


def test_lengths_are_tried_and_written_in_her_unit() -> None:
    tried = figures_of("offset", MACHINE, Span("0.005in", "1/64in", 3), "in")
    assert [said("offset", one, "in") for one in tried] == ["0.005in", "0.0103in", "0.0156in"]
    assert tried[1] == pytest.approx(0.0103 * 25.4)  # what is written is what is cut
    assert [said("offset", one) for one in figures_of("offset", MACHINE, Span(steps=2))] == [
        "0.05mm",
        "0.45mm",
    ]


def test_no_figure_is_above_what_the_machine_may() -> None:
    assert max(figures_of("force", UNSAID, Span())) == 120
    assert figures_of("force", MACHINE, Span("200", "240", 3)) == (200, 220, 240)
    with pytest.raises(CutprepError, match="240 at most"):
        figures_of("force", MACHINE, Span(last="241"))
    with pytest.raises(CutprepError, match="does not say how hard it may press its drag knife"):
        require_allowed("force", UNSAID, 121)


@pytest.mark.parametrize(
    ("kind", "span", "message"),
    [
        ("force", Span("100", "90"), "nothing to compare"),
        ("force", Span("-5"), "-5 can't be tried"),
        ("pass", Span("0.5"), "whole numbers"),
        ("offset", Span("3"), "has no unit"),
    ],
)
def test_what_can_t_be_tried_is_told(kind: str, span: Span, message: str) -> None:
    with pytest.raises(CutprepError, match=message):
        figures_of(kind, MACHINE, span)


def test_a_force_that_is_set_by_hand_is_tried_by_hand() -> None:
    with pytest.raises(CutprepError, match="gives no force"):
        figures_of("force", MUTE, Span())
    assert figures_of("force", MUTE, Span("80", "120", 3)) == (80, 100, 120)
    mute = replace(MUTE, tools=tuple(replace(tool, most_force=0.0) for tool in MUTE.tools))
    assert "begin low" in unknown_limit("force", mute)
    assert unknown_limit("force", MUTE) == unknown_limit("offset", mute) == ""
    unsent = replace(MACHINE, hpgl=replace(MACHINE.hpgl, send_force=False))
    with pytest.raises(CutprepError, match="takes no force from a file"):
        figures_of("force", unsent, Span("80", "120", 3))
    with pytest.raises(CutprepError, match="no tool of 'mat-cutter-300' scores"):
        figures_of("score", replace(MACHINE, score_by="perforate"), Span())
