"""The packer's child process, spoken to directly."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest

from cutprep.stages.nest.pack import child

_SQUARE = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]


def _run(**changes: Any) -> list[dict[str, Any]]:
    """What the child tells; it ends by itself, or with its own last words."""
    job = {
        "height": 31.0,
        "width": 32.0,
        "gap": 0.0,
        "seed": 1,
        "tries": 5,
        "far": 1.03,
        "reports": 200,
        "seconds": 60,
        "workers": 2,
        "items": [{"shape": _SQUARE, "count": 9, "turns": [0.0]}],
    } | changes
    result = subprocess.run(
        [sys.executable, "-P", child.__file__],
        input=json.dumps(job),
        capture_output=True,
        text=True,
        check=False,
    )
    told = [json.loads(line) for line in result.stdout.splitlines()]
    assert told, result.stderr
    assert result.returncode == 0 or "why" not in told[-1]
    return told


def test_nine_squares_in_a_strip() -> None:
    """The answer comes last, and says why the packer stopped."""
    answer = _run()[-1]
    assert answer["why"] == "fits"
    assert answer["width"] <= 32.0
    assert len(answer["placed"]) == 9


def test_work_is_limited_in_reports() -> None:
    """What can't fit ends with the work, and the narrowest strip so far is told."""
    answer = _run(width=29.0, reports=3)[-1]
    assert answer["why"] == "work used up"
    assert answer["width"] > 29.0


@pytest.mark.parametrize(
    "shape",
    [[(0, 0), (10, 10), (10, 0), (0, 10)], [(0, 0), (5, 0), (10, 0)], [(0, 0), (1e6, 0), (1e6, 1e6)]],
    ids=["bow tie", "no area", "oversized"],
)
def test_a_panic_is_an_answer(shape: list[tuple[float, float]]) -> None:
    """Shapes that the packer dislikes end with its last words, never with a layout."""
    *before, last = _run(items=[{"shape": shape, "count": 3, "turns": [0.0]}], reports=30, seconds=5)
    assert all(set(line) == {"reports"} for line in before)
    assert "placed" not in last
    assert last["why"].partition(":")[0] == "PanicException"
