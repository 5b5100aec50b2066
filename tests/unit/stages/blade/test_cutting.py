"""What may be asked of a cut."""

from __future__ import annotations

import math

import pytest

from cutprep.stages.blade.cutting import Bridges, Passes, Perforation


def test_the_last_force_stands_for_all_that_follow() -> None:
    passes = Passes(4, force=(80, 120))
    assert [passes.force_of(k, 100) for k in range(4)] == [80, 120, 120, 120]
    assert Passes(2).force_of(1, 100) == 100
    assert math.isnan(Passes(2).force_of(1, math.nan))


def test_bridges_by_number_or_by_spacing() -> None:
    assert Bridges(count=3).wanted(1000) == 3
    assert Bridges(spacing=80).wanted(400) == 5
    assert Bridges(spacing=80).wanted(20) == 2
    assert Bridges(count=0).wanted(400) == 0


@pytest.mark.parametrize(
    "make",
    [
        lambda: Passes(0),
        lambda: Passes(2, by="part"),
        lambda: Perforation(0, 1),
        lambda: Perforation(1, 0),
        lambda: Bridges(width=0),
        lambda: Bridges(spacing=0),
        lambda: Bridges(clear=-1),
        lambda: Bridges(count=-1),
    ],
)
def test_senseless_wishes_are_refused(make) -> None:
    with pytest.raises(ValueError):
        make()


@pytest.mark.parametrize(
    ("kind", "least"),
    [
        (Passes, {"count": 1, "by": "outline"}),
        (Passes, {"count": 1, "by": "sheet"}),
        (Perforation, {"cut": 0.1, "gap": 0.1}),
        (Bridges, {"clear": 0}),
        (Bridges, {"width": 0.1, "spacing": 0.1, "count": 0}),
    ],
)
def test_the_least_that_may_be_wished_is_kept_as_it_is(kind: type, least: dict[str, object]) -> None:
    made = kind(**least)
    assert {name: getattr(made, name) for name in least} == least


def test_what_is_meant_when_nothing_is_said() -> None:
    """Common practice, as documented."""
    assert (Passes().count, Passes().force, Passes().by) == (1, (), "outline")
    assert (Perforation().cut, Perforation().gap) == (3, 1)
    assert (Bridges().width, Bridges().count, Bridges().spacing, Bridges().clear) == (0.5, None, 80, 1)
    assert Bridges().wanted(160) == 2
    assert Bridges().wanted(250) == 3
