"""The irregular packer as the nest calls it."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.item.usable_area import usable_area_of
from cutprep.stages.nest.pack import irregular
from cutprep.stages.nest.pack.irregular import Attempt, largest_free, pack, run_child
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import board, carton, ell, sheet_size, tag


def test_seven_cartons_on_a_sheet_that_a_lattice_fills_with_six() -> None:
    """The layout passes the proof, and comes out the same again."""
    b = board(carton())
    runs = [pack(b, [7], seed=0, tries=3, reports=60) for _ in range(2)]
    assert runs[0].why == "fits"
    assert runs[0] == runs[1]
    assert is_right(Pattern(runs[0].placements, ""), [Demand(carton(), 1)], b.usable)
    assert {placement.pose.turn for placement in runs[0].placements} <= {0.0, 90.0, 180.0, 270.0}


def test_a_mix_with_free_turns() -> None:
    """Two templates, any angle, every copy there."""
    b = board(ell(), tag(), turns="free")
    result = pack(b, [8, 8], seed=3, tries=3, reports=60)
    assert result.why == "fits"
    assert [sum(s.demand == w for s in result.placements) for w in (0, 1)] == [8, 8]
    demands = [Demand(ell(), 8, "free"), Demand(tag(), 8, "free")]
    assert is_right(Pattern(result.placements, ""), demands, b.usable)


def test_too_many_are_not_placed() -> None:
    """Work runs out; how long the strip would have to be is told."""
    result = pack(board(ell()), [60], seed=0, tries=1, reports=3)
    assert not result.placements
    assert not result.failed
    assert result.width > 294.8


def test_it_stays_off_kept_out_areas() -> None:
    """It packs into the largest rectangle that is free of them."""
    areas = ((0.0, 200.0, 304.8, 304.8),)
    b = board(tag(), keep_out=areas)
    result = pack(b, [20], seed=0, tries=3, reports=60)
    assert is_right(Pattern(result.placements, ""), [Demand(tag(), 20)], b.usable)


def test_largest_free_rectangle() -> None:
    """One area in a corner: the larger of what is beside and above it."""
    usable = usable_area_of(sheet_size(100, 80), 0, 0, [(0, 0, 30, 70)])
    assert largest_free(usable) == (30, 0, 100, 80)
    assert largest_free(usable_area_of(sheet_size(100, 80), 5, 0)) == (5, 5, 95, 75)


def test_a_packer_that_dies_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No exception: an attempt that failed, with what is known of why."""
    dead = tmp_path / "dead.py"
    dead.write_text("import os\nos.abort()\n")
    monkeypatch.setattr(irregular.child, "__file__", str(dead))
    result = pack(board(tag()), [5], seed=0, tries=3, reports=50)
    assert result.failed
    assert "ended with code" in result.why


@pytest.mark.parametrize(
    "words",
    [
        "hello",
        "[1, 2]",
        "5",
        "{}",
        '{"why": "fits"}',
        '{"reports": 1, "why": 7}',
        '{"reports": 1, "why": "fits"}',
        '{"reports": 1, "why": "fits", "width": "x", "placed": []}',
        '{"reports": 1, "why": "fits", "width": 9, "placed": []}',
        '{"reports": 1, "why": "fits", "width": 9, "placed": [[0, 0, 1]]}',
        '{"reports": 1, "why": "fits", "width": 9, "placed": [[99, 0, 1, 1]]}',
        '{"reports": 1, "why": "fits", "width": 9, "placed": [[0, 0, NaN, 1]]}',
        '{"reports": 1, "why": "fits", "width": 9, "placed": [[0, 0, 1, 1], [0, 0, 90, 1]]}',
        "[" * 100_000,
    ],
)
def test_nonsense_is_no_layout(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, words: str) -> None:
    """A packer that says what it should not has failed, and nothing of it is used."""
    mad = tmp_path / "mad.py"
    mad.write_text(f"print({words!r})\n")
    monkeypatch.setattr(irregular.child, "__file__", str(mad))
    result = pack(board(tag()), [1], seed=0, tries=3, reports=50)
    assert result.failed
    assert not result.placements


def test_a_packer_that_hangs_is_ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Silence ends it, not its own guard, which a hung process does not keep."""
    mad = tmp_path / "mad.py"
    mad.write_text("import time\ntime.sleep(600)\n")
    monkeypatch.setattr(irregular.child, "__file__", str(mad))
    monkeypatch.setattr(irregular, "SILENCE", 1.0)
    result = pack(board(tag()), [1], seed=0, tries=3, reports=50)
    assert result.failed
    assert result.why == "the packer hung"


def test_a_packer_that_panics_is_told() -> None:
    """A panic inside the packer is its last word."""
    job = {
        "height": 5.0, "width": 5.0, "gap": 0.0, "seed": 0, "tries": 3, "far": 1.03, "reports": 50, "seconds": 20, "workers": 2,
        "items": [{"shape": [(0, 0), (50, 0), (50, 50)], "count": 1, "turns": [0.0]}],
    }  # fmt: skip
    answer = run_child(job)
    assert Attempt((), answer["why"], answer["reports"]).failed


def test_progress_is_told() -> None:
    """Steps done; how many there will be is not known."""
    told: list[tuple[str, int, int]] = []
    pack(board(carton()), [7], seed=0, tries=3, reports=60, progress=lambda *row: told.append(row))
    assert {(stage, total) for stage, _, total in told} == {("nest: packing", 0)}
    steps = [done for _, done, _ in told]
    assert steps == sorted(steps)
    assert steps[-1] > steps[0]
    assert all(stage == "nest: packing" and done >= total == 0 for stage, done, total in told)


def test_the_child_is_our_own_interpreter() -> None:
    """Run by file, so that it needs no installed package of ours."""
    tree = ast.parse(Path(irregular.child.__file__).read_text(encoding="utf-8"))
    taken = [a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names]
    taken += [n.module or "" for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
    assert {name.partition(".")[0] for name in taken} <= {*sys.stdlib_module_names, "spyrrow"}
