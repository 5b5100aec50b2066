"""Path data: segments up to the first error, and what the error is."""

from __future__ import annotations

import pytest

from cutprep.stages.read.svg.shapes.path import (
    ARC,
    CLOSE,
    CUBIC,
    LINE,
    MOVE,
    QUAD,
    WIDTH,
    _trace_carefully,
    _trace_clean,
    trace_path,
)


@pytest.mark.parametrize(
    ("text", "kinds", "args"),
    [
        ("M1 2 3 4", [MOVE, LINE], [1, 2, 3, 4]),
        ("m1 2 3 4l1 1", [MOVE, LINE, LINE], [1, 2, 4, 6, 5, 7]),
        ("M0 0H5V6h-1v-2", [MOVE, LINE, LINE, LINE, LINE], [0, 0, 5, 0, 5, 6, 4, 6, 4, 4]),
        ("M0 0C1 2 3 4 5 6", [MOVE, CUBIC], [0, 0, 1, 2, 3, 4, 5, 6]),
        ("M1 1c1 2 3 4 5 6", [MOVE, CUBIC], [1, 1, 2, 3, 4, 5, 6, 7]),
        ("M0 0C1 2 3 4 5 6S7 8 9 9", [MOVE, CUBIC, CUBIC], [0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 7, 8, 9, 9]),
        ("M1 1S7 8 9 9", [MOVE, CUBIC], [1, 1, 1, 1, 7, 8, 9, 9]),
        ("M0 0Q1 2 3 4T5 6", [MOVE, QUAD, QUAD], [0, 0, 1, 2, 3, 4, 5, 6, 5, 6]),
        ("M1 1T5 6", [MOVE, QUAD], [1, 1, 1, 1, 5, 6]),
        ("M0 0Q1 2 3 4S5 6 7 8", [MOVE, QUAD, CUBIC], [0, 0, 1, 2, 3, 4, 3, 4, 5, 6, 7, 8]),
        ("M0 0a1 2 30 0 1 5 6", [MOVE, ARC], [0, 0, 1, 2, 30, 0, 1, 5, 6]),
        ("M0 0a1 2 30 016 6", [MOVE, ARC], [0, 0, 1, 2, 30, 0, 1, 6, 6]),
        ("M1 1 2 2zl1 0", [MOVE, LINE, CLOSE, MOVE, LINE], [1, 1, 2, 2, 1, 1, 1, 1, 2, 1]),
        ("M1 1 2 2zm3 3 1 1", [MOVE, LINE, CLOSE, MOVE, LINE], [1, 1, 2, 2, 1, 1, 4, 4, 5, 5]),
        ("M1-1.5.5+2e1", [MOVE, LINE], [1, -1.5, 0.5, 20]),
        ("M50. 1L3,4,", [MOVE, LINE], [50, 1, 3, 4]),
        ("\n M 1\t2\r\n L3 , 4 \f", [MOVE, LINE], [1, 2, 3, 4]),
    ],
)
def test_segments(text: str, kinds: list[int], args: list[float]) -> None:
    for trace in (trace_path(text), _trace_carefully(text)):
        assert [*trace.kinds] == kinds
        assert trace.args == pytest.approx(args)
        assert trace.fault == ""


@pytest.mark.parametrize(
    ("text", "segments", "told"),
    [
        ("", 0, "empty"),
        ("L1 1", 0, "begin with a move"),
        ("10 20", 0, "no command"),
        ("M,1 1", 0, "'M' has 0 good numbers"),
        ("M0 0L1 1 5", 2, "segment 3 of the path the line command 'L' has 1 good number where 2"),
        ("M0 0L10,,10", 1, "before ',10'"),
        ("M0 0C1 1 2 2 3", 1, "curve command 'C' has 5 good numbers where 6"),
        ("M0 0A1 1 0 2 0 5 5", 1, "arc command 'A' has 3 good numbers before '2 0 5 5'"),
        ("M0 0A5 5 0 0 1 9", 1, "arc command 'A' has 6 good numbers where 7 are needed"),
        ("M0 0L1 1X2 2", 2, "'X2 2' is no command"),
        ("M0 0L1 1 NaN 2", 2, "'NaN 2' is no command"),
        ("M0 0L5%", 1, "before '%'"),
        ("M0 0z5 5", 2, "no command"),
        ("M0 0L1 1e", 2, "'e' is no command"),
    ],
)
def test_errors_keep_what_comes_before(text: str, segments: int, told: str) -> None:
    trace = trace_path(text)
    assert len(trace.kinds) == segments
    assert told in trace.fault


def test_both_ways_of_reading_agree_on_a_long_path() -> None:
    """A run beyond a megabyte is read in portions; a move's later points are lines there too."""
    text = "M0 0 " + "12.5 -3.25 " * 120_000
    trace = _trace_clean(text)
    assert trace is not None
    assert len(trace.kinds) == 120_001
    assert trace.kinds.count(MOVE) == 1
    assert trace.args[-2:] == [12.5, -3.25]


def test_every_kind_ends_with_its_end_point() -> None:
    assert [WIDTH[kind] for kind in (MOVE, LINE, QUAD, CUBIC, ARC, CLOSE)] == [2, 2, 4, 6, 7, 2]
