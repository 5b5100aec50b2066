"""The report's values."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.findings.finding import Finding
from cutprep.model.folded import GOOD, UNCHECKED, FoldReport, Hinge, Mate, Verdict


def test_every_verdict_has_its_own_words() -> None:
    assert len({v.value for v in Verdict}) == len(Verdict)


@pytest.mark.parametrize("verdict", list(Verdict))
def test_closes_is_a_word_only_where_it_was_checked(verdict: Verdict) -> None:
    closes = FoldReport("x", verdict).closes
    assert (closes is None) is (verdict in UNCHECKED)
    if verdict in {Verdict.GAP, Verdict.CANNOT_FOLD}:
        assert closes is False


@pytest.mark.parametrize("verdict", list(Verdict))
def test_an_error_in_the_drawing_is_never_ok(verdict: Verdict) -> None:
    error = Finding.of("loose", "a panel hangs on nothing")
    note = Finding.of("curved-score", "bends")
    assert not FoldReport("x", verdict, messages=(error,)).ok
    assert FoldReport("x", verdict, messages=(note,)).ok is (verdict in GOOD)


def test_messages_are_found_by_code() -> None:
    note = Finding.of("loose", "x")
    assert FoldReport("x", Verdict.FLAT, messages=(note,)).found("loose") == (note,)
    assert FoldReport("x", Verdict.FLAT, messages=(note,)).found("other") == ()


def test_length_difference() -> None:
    long, short = np.array([[0, 0], [3, 4]], float), np.array([[0, 0], [0, 3]], float)
    mate = Mate(0, 1, long, short, gap=0.25)
    assert mate.length_difference == 2.0
    assert Mate(0, 1, short, long).length_difference == -2.0


def test_length_of_a_hinge() -> None:
    assert Hinge(0, 1, np.array([[0, 0], [3, 4]], float), 4.0).length == 5.0
