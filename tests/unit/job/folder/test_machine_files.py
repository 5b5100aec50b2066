"""One machine file for a sheet, or one for each tool in turn."""

from __future__ import annotations

import numpy as np

from cutprep.job.folder.machine_files import joined, named, runs_of
from cutprep.model.moves import Duration, Moves
from cutprep.report.outcome import MachineFile
from tests.moving import machine_of

NOTHING = Duration((), 0.0, 0.0, 0.0, 0.0)


def moves(*tools: int) -> Moves:
    """A travel and a stroke for each tool, then home."""
    xy = [point for k in range(len(tools)) for point in ((10.0 * k, 0.0), (10.0 * k, 5.0))]
    stroke = [number for k in range(len(tools)) for number in (-1, k)]
    count = len(stroke)
    return Moves(
        xy=np.array([*xy, (1.0, 2.0)]),
        down=np.array([s >= 0 for s in stroke] + [False]),
        tool=np.array([t for t in tools for _ in range(2)] + [tools[-1]]),
        speed=np.full(count + 1, 30.0),
        force=np.full(count + 1, np.nan),
        stroke=np.array([*stroke, -1]),
        home=(1.0, 2.0),
        changes=int((np.diff(tools) != 0).sum()),
    )


def test_one_file_holds_every_tool() -> None:
    plan = moves(2, 1)
    assert runs_of(plan, machine_of()) == (plan,)


def test_a_file_for_each_tool_begins_and_ends_at_home() -> None:
    runs = runs_of(moves(3, 3, 1, 3), machine_of(one_file_for="tool"))
    assert [sorted(set(run.tool.tolist())) for run in runs] == [[3], [1], [3]]
    assert [run.stroke[run.down].tolist() for run in runs] == [[0, 1], [2], [3]]
    for run in runs:
        assert (run.home, tuple(run.xy[-1]), bool(run.down[-1]), run.changes) == ((1, 2), (1, 2), False, 0)
    whole = joined(runs)
    assert (len(whole), whole.changes) == (len(moves(3, 3, 1, 3)) + 2, 2)


def test_one_tool_needs_one_file() -> None:
    plan = moves(1, 1)
    assert runs_of(plan, machine_of(one_file_for="tool")) == (plan,)


def test_names_sort_by_turn_and_hold_no_odd_signs() -> None:
    files = [MachineFile("", "", tool, NOTHING) for tool in ("Pen / blue", "", "knife")]
    assert [f.name for f in named(files, "sheet-02-kraft", "hpgl")] == [
        "sheet-02-kraft-1-pen-blue.hpgl",
        "sheet-02-kraft-2-tool.hpgl",
        "sheet-02-kraft-3-knife.hpgl",
    ]
    assert [f.name for f in named(files[:1], "sheet-01", "gcode")] == ["sheet-01.gcode"]
