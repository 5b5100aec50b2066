"""The longest and largest inputs that were thought of (`largest.py`), at a small share of their size.

Whether they stay within seconds and memory at full size is measured by `python -m tests.bench.bounds`; here each goes
through its reader whole, and through one whose limits are too low for it.
"""

from __future__ import annotations

import io
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest

from cutprep.errors import CutprepError
from cutprep.job.folder.store import written
from cutprep.limits import Limits
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.fuzz.largest import CASES, Case
from tests.fuzz.targets import TARGETS

SHARE = 0.0003
LOW = Limits(elements=15, points=30, expanded=15, depth=12, entity_bytes=90, style_bytes=60, declarations=20)
TARGET_OF = {"drawing.svg": "svg", "drawing.svgz": "svg", "drawing.dxf": "dxf", "job.toml": "job",
             "machine.toml": "profile", "sheet.hpgl": "hpgl", "sheet.gcode": "gcode"}  # fmt: skip
#: What each reader says of them: a job file and a profile of this kind are none; drawings may hold nothing that is cut.
READ = {
    "job": {False}, "profile": {False}, "hpgl": {True}, "gcode": {True}, "svg": {True, False}, "dxf": {True, False},
}  # fmt: skip
#: More moves than the limit allows that the test sets.
TOO_MANY = {"HP-GL, circles of the finest chord", "HP-GL, arcs"}


def made(case: Case) -> bytes:
    stream = io.BytesIO()
    case.write(stream, SHARE)
    return stream.getvalue()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.what)
def test_nothing_but_our_own_errors_comes_out(
    case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "cutprep.stages.readback.machine_file.Limits", lambda: replace(Limits(), moves=20_000)
    )
    data = made(case)
    if case.file in TARGET_OF:
        target = TARGET_OF[case.file]
        assert TARGETS[target](data) in ({False} if case.what in TOO_MANY else READ[target])
    else:
        (tmp_path / case.file).write_bytes(data)
        with suppress(CutprepError):
            written(tmp_path)


@pytest.mark.parametrize(
    "case", [c for c in CASES if c.file.startswith("drawing")], ids=lambda case: case.what
)
def test_low_limits_are_kept(case: Case, tmp_path: Path) -> None:
    path = tmp_path / case.file
    path.write_bytes(made(case))
    with suppress(CutprepError):
        assert len(read(path, tolerance=Tolerance(), limits=LOW).lines.xy) <= LOW.points
