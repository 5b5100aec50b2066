"""A plan and a file that lacks, adds, turns round or alters some strokes: about one message for each."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.model.findings.finding import Findings
from cutprep.stages.readback.compare.align import align
from cutprep.tolerance import Tolerance
from tests.beside import compare
from tests.plans import MACHINE, plan

Drawn = list[tuple[int, list[tuple[float, float]]]]
WITHIN = 0.025
ROWS = 60


def strokes(seed: int, count: int) -> Drawn:
    """Short strokes that begin in places of their own, shuffled; every eighth is run a second time."""
    rng = np.random.default_rng(seed)
    found: Drawn = []
    for place, k in enumerate(rng.permutation(count).tolist()):
        x, y = 10.0 + k % ROWS * 4, 10.0 + k // ROWS * 4
        step = rng.uniform(1.0, 3.0, 2)
        found += [(1, [(x, y), (x + step[0], y + step[1])])] * (2 if place % 8 == 0 else 1)
    return found


def written(drawn: Drawn, seed: int) -> Drawn:
    """As a file holds them: every figure rounded to a plotter's unit."""
    rng = np.random.default_rng(seed)
    noise = rng.uniform(-0.4 * WITHIN, 0.4 * WITHIN, (sum(len(p) for _, p in drawn), 2))
    rows = iter(noise.tolist())
    return [(tool, [(x + (d := next(rows))[0], y + d[1]) for x, y in points]) for tool, points in drawn]


def told(planned: Drawn, in_file: Drawn) -> Findings:
    return compare(plan(planned), plan(in_file), within=WITHIN, machine=MACHINE, sagitta=Tolerance().sagitta)


def spoilt(drawn: Drawn, seed: int, kinds: str) -> Drawn:
    """One change for each letter: l loses a stroke, i adds one, s swaps two, a alters one."""
    rng = np.random.default_rng(seed)
    places = sorted(rng.choice(len(drawn) // 3, len(kinds), replace=False).tolist(), reverse=True)
    found = list(drawn)
    for kind, place in zip(kinds, places, strict=True):
        k = place * 3
        if kind == "l":
            del found[k]
        elif kind == "i":
            found.insert(k, (1, [(1.0, 1.0 + k / 100), (4.0, 3.0)]))
        elif kind == "s":
            found[k], found[k + 1] = found[k + 1], found[k]
        else:
            k = next(i for i in (k, k + 1, k + 2) if found.count(found[i]) == 1)
            tool, (begin, (x, y)) = found[k]
            found[k] = (tool, [begin, (x + 0.5, y)])
    return found


@settings(max_examples=40)
@given(st.integers(0, 2**32), st.text("lisa", max_size=12))
def test_each_change_gives_one_message(seed: int, kinds: str) -> None:
    """Never more; a pair that is run twice may be swapped with itself."""
    drawn = strokes(seed, 60)
    found = Counter(f.code for f in told(drawn, written(spoilt(drawn, seed, kinds), seed)))
    wanted = Counter(kinds)
    assert found["stroke-missing"] == wanted["l"]
    assert found["stroke-extra"] == wanted["i"]
    assert found["stroke-differs"] == wanted["a"]
    assert found["stroke-moved"] <= wanted["s"]
    assert sum(found.values()) >= len(kinds) - wanted["s"]


def test_one_of_two_equal_runs_that_was_altered_gives_two_messages_at_most() -> None:
    """Nothing tells which of the two it was."""
    drawn: Drawn = [(1, [(10.0 + k // 2, 10.0), (10.0 + k // 2, 30.0)]) for k in range(40)]
    for k in (20, 21):
        file = [*drawn[:k], (1, [(20.0, 10.0), (20.5, 30.0)]), *drawn[k + 1 :]]
        assert 1 <= len(told(drawn, written(file, k))) <= 2


@pytest.mark.parametrize("count", [1, 2, 3, 20, 59])
def test_losses_in_a_row_are_told_one_by_one(count: int) -> None:
    """Two in a row once gave a message for every stroke behind them."""
    drawn = strokes(1, 300)
    found = told(drawn, written(drawn[:100] + drawn[100 + count :], 1))
    assert Counter(f.code for f in found) == {"stroke-missing": count}
    assert [f.places[0].xy for f in found] == [points[0] for _, points in drawn[100 : 100 + count]]


def test_a_block_that_is_worked_later_is_told_as_moved() -> None:
    drawn = [one for one, after in pairwise(strokes(2, 80)) if one != after]
    found = told(drawn, written([*drawn[:10], *drawn[15:40], *drawn[10:15], *drawn[40:]], 2))
    assert Counter(f.code for f in found) == {"stroke-moved": 5}
    assert "comes as stroke 36 of the file" in found[0].problem


def test_a_stroke_with_another_tool_is_told_wherever_it_stands() -> None:
    drawn = strokes(3, 40)
    file = written([*drawn[:5], *drawn[6:]], 3)
    file[20] = (2, file[20][1])
    assert Counter(f.code for f in told(drawn, file)) == {"stroke-missing": 1, "tool-differs": 1}


def test_what_is_left_over_is_paired_with_what_lies_nearest() -> None:
    """The first of two was lost, the second altered: it is the second that differs."""
    drawn = strokes(4, 40)
    begin, (x, y) = drawn[11][1]
    found = told(drawn, written([*drawn[:10], (1, [begin, (x + 0.3, y)]), *drawn[12:]], 4))
    assert [f.code for f in found] == ["stroke-missing", "stroke-differs"]
    assert found[0].problem.startswith("stroke 11 of the plan")
    assert found[1].problem.startswith("stroke 12 (tool 1) is planned at")


@settings(max_examples=150)
@given(st.lists(st.integers(0, 6), max_size=14), st.lists(st.integers(0, 6), max_size=14))
def test_every_stroke_is_accounted_for_once(one: list[int], other: list[int]) -> None:
    """Whatever the two sequences are; what is held together is alike and rises on both sides."""
    found = align(one, other, lambda i, j: abs(i - j))
    pairs = (*found.same, *found.moved, *found.changed)
    assert sorted([i for i, _ in pairs] + found.missing) == list(range(len(one)))
    assert sorted([j for _, j in pairs] + [j for _, j in found.extra]) == list(range(len(other)))
    assert all(one[i] == other[j] for i, j in (*found.same, *found.moved))
    assert sorted(found.same, key=lambda pair: pair[1]) == found.same
    left = Counter(one[i] for i in found.missing) & Counter(other[j] for _, j in found.extra)
    assert not left
