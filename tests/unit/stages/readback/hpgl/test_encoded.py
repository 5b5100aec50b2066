"""Polyline encoded, followed whatever is wrong with it."""

from __future__ import annotations

import pytest

from cutprep.stages.readback.hpgl.encoded import encoded_places, encoded_runs
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.polyline import number


def test_places_that_are_gone_to_alike_stand_together() -> None:
    one = f"{number(1)}{number(2)}"
    runs, fault = encoded_runs(f"7={one}{one}{one}<{one}{one}")
    assert not fault
    assert [(run.down, run.absolute, run.numbers) for run in runs] == [
        (True, True, (1, 2)),
        (True, False, (1, 2, 1, 2)),
        (False, False, (1, 2)),
        (True, False, (1, 2)),
    ]
    assert encoded_places(f"7={one}{one}<{one}") == [(1, 2), (2, 4), (3, 6)]


@pytest.mark.parametrize(
    ("body", "places", "fault"),
    [
        (f"7={number(1)}", 0, "a place has no y"),
        (f"7={number(1)}{number(2)}%%", 1, "'%%' is no number"),
        ("7=????????????????????", 0, "is no number"),
        ("7:", 0, "no number stands behind ':'"),
        (f"7>{number(27)}", 0, "no number stands behind '>'"),
        ("", 0, ""),
    ],
)
def test_what_is_no_encoding_is_told_with_what_came_before(body: str, places: int, fault: str) -> None:
    runs, told = encoded_runs(body)
    assert sum(len(run.numbers) for run in runs) == 2 * places
    assert fault in told
    assert bool(fault) == bool(told)


def test_a_fault_in_it_is_an_error_of_the_file() -> None:
    moves, findings = parse(f"IN;SP1;PU0,0;PE7={number(40)}{number(0)}%;PU;SP0;", "hpgl")
    assert [f.code for f in findings] == ["not-hpgl"]
    assert moves.xy[moves.down].tolist() == [[1, 0]]


def test_a_place_out_of_range_is_told() -> None:
    _, findings = parse(f"IN;SP1;PU0,0;PE7={number(40000)}{number(0)};PU;SP0;", "hpgl")
    assert [f.code for f in findings] == ["out-of-range"]
