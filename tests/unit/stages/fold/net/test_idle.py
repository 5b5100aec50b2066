"""Scores that stay flat."""

from __future__ import annotations

import pytest

from cutprep.model.folded import Verdict
from cutprep.stages.fold.net.idle import idle_hinges, straight_lines
from tests.folding import folded, part_from
from tests.nets import Sketch, sleeve, webbed_tray


def torn_sleeve() -> Sketch:
    """A sleeve with a line across all of it, 20 mm from its end."""
    return sleeve().score((-10, 70), (180, 70))


def test_a_line_across_all_folds_stays_flat() -> None:
    part = part_from(torn_sleeve())
    idle = idle_hinges(part)
    assert len({straight_lines(part)[k] for k in idle}) == 1
    assert all(abs(part.hinges[k].ends[0, 1] - part.hinges[k].ends[1, 1]) < 0.1 for k in idle)


def test_it_is_named_and_left_out_of_closing() -> None:
    plain, torn = folded(sleeve()), folded(torn_sleeve())
    assert torn.verdict is plain.verdict is Verdict.MOVABLE
    assert torn.volume_mm3 == pytest.approx(plain.volume_mm3)
    (feature,) = torn.features
    assert feature.kind == "score that stays flat"
    assert feature.length == pytest.approx(190.0)


def test_a_score_that_ends_on_another_stays_flat() -> None:
    report = folded(sleeve().score((0, 30), (60, 60)))
    assert report.verdict is Verdict.MOVABLE
    assert len(report.features) == 1


def test_webs_are_no_idle_scores() -> None:
    assert not idle_hinges(part_from(webbed_tray()))
