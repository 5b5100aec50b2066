"""What a reader writes down on its way."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import ReadbackError
from cutprep.limits import Limits
from cutprep.model.findings.catalogue import CATALOGUE
from cutprep.model.findings.finding import Severity
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.readback.track import Track, home_of
from tests.plans import MACHINE


def test_a_path_with_lifts() -> None:
    """A lift without a travel, in the middle and at the end, is a move of no length."""
    track = Track((5.0, 6.0))
    track.take(2)
    track.speed, track.force = 40.0, 7.0
    track.move(10, 6)
    track.down = True
    track.move(20, 6)
    track.down = False
    track.down = True
    track.move(20, 16, curved=True)
    track.down = False
    moves = track.moves(None)
    assert moves.xy.tolist() == [[10, 6], [20, 6], [20, 6], [20, 16], [20, 16]]
    assert moves.down.tolist() == [False, True, False, True, False]
    assert moves.speed.tolist() == [0, 40, 0, 40, 0]
    assert moves.force[moves.down].tolist() == [7, 7]
    assert np.isnan(moves.force[~moves.down]).all()
    assert moves.stroke.tolist() == [-1, 0, -1, 1, -1]
    assert moves.curved.tolist() == [False, False, False, True, False]
    assert moves.tool.tolist() == [2] * 5
    assert moves.home == (5, 6)


def test_many_points_at_once_are_as_many_moves() -> None:
    """After a lift that leaves a travel of no length, too, and nothing for no points."""
    one, many = Track((0.0, 0.0)), Track((0.0, 0.0))
    spots = [(3.0, 0.0), (3.0, 4.0), (5.0, 4.5)]
    for track in (one, many):
        track.speed, track.force, track.line = 40.0, 7.0, 3
        for _ in range(2):
            track.down = True
            if track is one:
                for spot in spots:
                    track.move(*spot)
            else:
                track.go_through(*zip(*spots, strict=True))
            track.down = False
    many.go_through([], [])
    a, b = one.moves(None), many.moves(None)
    for column in ("xy", "down", "tool", "speed", "force", "stroke", "curved"):
        assert np.array_equal(getattr(a, column), getattr(b, column), equal_nan=column == "force")
    assert (one.lines.tolist(), one.helds) == (many.lines.tolist(), many.helds)
    with pytest.raises(ReadbackError):
        Track(limits=Limits(moves=3)).go_through(range(4), range(4))


def test_a_lift_before_any_work_is_nothing() -> None:
    track = Track()
    track.down = True
    track.down = False
    track.move(3, 4)
    track.down = True
    track.down = False
    assert track.moves(None).xy.tolist() == [[3, 4]]


def test_a_lift_and_a_travel_is_one_move() -> None:
    track = Track()
    track.down = True
    track.move(3, 4)
    track.down = False
    track.move(9, 4)
    track.move(9, 9)
    assert track.moves(None).down.tolist() == [True, False, False]


def test_a_tool_that_changes_while_down_begins_another_stroke() -> None:
    track = Track()
    track.down = True
    for tool, x in ((1, 1.0), (1, 2.0), (2, 3.0), (2, 4.0)):
        track.take(tool)
        track.move(x, 0)
    moves = track.moves(None)
    assert moves.stroke.tolist() == [0, 0, 1, 1]
    assert moves.changes == 1
    assert len(moves) == 4, "it is still down: nothing is added"


def test_tools_that_are_put_away_and_taken_again() -> None:
    """0 is no tool: neither putting away nor taking the first one is a change."""
    track = Track()
    counted = []
    for tool in (0, 3, 3, 0, 3, 2, 2):
        track.take(tool)
        counted.append(track.changes)
    # After 0 the tool is taken anew, by whoever loads it.
    assert counted == [0, 0, 0, 0, 1, 2, 2]


def test_a_feed_holds_in_the_air_when_told_so() -> None:
    for fed, speed in ((True, 40.0), (False, 0.0)):
        track = Track(fed=fed)
        track.speed = 40.0
        track.move(1, 0)
        assert track.moves(None).speed.tolist() == [speed]


def test_what_a_machine_turns() -> None:
    """Its own mm become mm of the sheet; home is given on the sheet."""
    machine = replace(MACHINE, origin="upper-right", home=(10.0, 20.0))
    assert home_of(None) == (0, 0)
    assert home_of(machine) == pytest.approx((290, 380))
    track = Track(home_of(machine))
    track.move(0, 0)
    moves = track.moves(machine)
    assert moves.xy[0] == pytest.approx((300, 400))
    assert moves.home == pytest.approx((10, 20))


def test_no_moves() -> None:
    track = Track((1.0, 2.0))
    track.dwell, track.changes = 0.5, 3
    moves = track.moves(None)
    assert (len(moves), moves.dwell, moves.changes, moves.home) == (0, 0.5, 3, (1, 2))


def test_findings_keep_their_line_or_place() -> None:
    """A line when one is being read, else where the tool is; twenty of a kind, the rest counted."""
    track = Track((1.0, 2.0))
    track.note("tool-left-down", "at the start", "mend it")
    track.line = 7
    track.note("no-tool", "at a line")
    track.note("semicolon-comment", "by the way")
    a, b, c = track.findings
    assert (a.code, a.severity, a.problem, a.fix, a.places[0].xy) == (
        "tool-left-down",
        Severity.ERROR,
        "at the start",
        "mend it",
        (1, 2),
    )
    assert (b.severity, b.problem, b.places[0].line) == (Severity.WARNING, "at a line", 7)
    assert b.fix == CATALOGUE["no-tool"].advice
    assert (c.severity, c.places[0].xy) == (Severity.NOTE, None)
    for _ in range(22):
        track.note("no-tool", "again")
    assert [f.code for f in track.findings].count("no-tool") == 20
    last = track.findings[-1]
    assert (last.code, last.severity) == ("more-of-the-same", Severity.NOTE)
    assert last.problem == "3 more findings 'no-tool' are not listed"


def test_nothing_is_said_of_force_by_itself() -> None:
    track = Track()
    track.down = True
    track.move(1, 1)
    assert math.isnan(track.moves(None).force[0])


def test_a_file_that_asks_for_moves_without_end_is_refused() -> None:
    """Circles of the finest chords: 700 moves for twelve characters."""
    few = replace(Limits(), moves=1000)
    with pytest.raises(ReadbackError, match="asks for more than 1,000 moves"):
        parse("IN;SP1;PA4000,4000;" + "PD;CI900,0.5;" * 9, "hpgl", limits=few)
    assert len(parse("IN;SP1;PA4000,4000;PD;CI900,0.5;PU;", "hpgl", limits=few)[0]) <= 1000
