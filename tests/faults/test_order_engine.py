"""The search for an order breaks down: the nearest line comes next, the job says so and is finished."""

from __future__ import annotations

import importlib
import importlib.util
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cutprep.job.api import make_job, prepare_job
from cutprep.job.folder.verify import verify
from cutprep.model.findings.finding import errors
from cutprep.stages.order import plan
from cutprep.stages.order.tour import engine as order_engine
from cutprep.stages.order.tour import search, task
from cutprep.stages.order.tour.engine import Engine, EngineError

SAMPLES = Path(__file__).parents[2] / "samples"


LUA = importlib.import_module("lupa.lua54")


class _Lua:
    """Stands in place of what the engine loads, and does one thing in answer to everything."""

    def __init__(self, answer: Callable[..., Any]) -> None:
        self._answer = answer

    def __getattr__(self, _: str) -> Callable[..., Any]:
        return self._answer

    def __call__(self, *given: object) -> Any:
        return self._answer(*given)


def _sick(answer: Callable[..., Any]) -> Callable[[], Engine]:
    """The engine with all its Lua replaced."""
    engine = Engine("lua54")
    engine._near = engine._exact = _Lua(answer)
    engine._load = lambda: _Lua(answer)
    return lambda: engine


def _crash(*_: object) -> None:
    raise LUA.LuaError("not enough memory")


def _same_line_twice(*_: object) -> Any:
    return (defaultdict(lambda: 1), defaultdict(lambda: defaultdict(lambda: 1)))


def _missing() -> None:
    raise EngineError("No module named 'lupa.luajit21'")


MAD: dict[str, tuple[Callable[[], Any], str]] = {
    "fails": (_sick(_crash), "not enough memory"),
    "has no memory": (_sick(lambda *_: bytearray(1 << 62)), "MemoryError"),
    "talks nonsense": (_sick(_same_line_twice), "gave back something"),
    "gives nothing": (_sick(lambda *_: None), "gave back"),
    "is not there": (_missing, "No module named"),
}


@pytest.mark.parametrize("how", MAD)
@pytest.mark.parametrize("finish", ["sheet", "copy"])
def test_an_engine_that_breaks_down_stops_no_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str, finish: str
) -> None:
    engine, said = MAD[how]
    for room in (search, task):
        monkeypatch.setattr(room, "engine", engine)
    job = make_job(SAMPLES / "divider.svg", copies=4, effort="quick", finish=finish)
    outcome = prepare_job(job, tmp_path / "out")
    told = [f.problem for f in outcome.findings if f.code == "plain-order"]
    assert told
    assert all(said in text and "nearest line comes next" in text for text in told)
    assert "nearest line comes next" in (tmp_path / "out" / "job-sheet.html").read_text(encoding="utf-8")
    assert not any(errors(one.differences) for one in verify(tmp_path / "out"))
    monkeypatch.undo()
    sound = prepare_job(job)
    for plain, best in zip(outcome.sheets, sound.sheets, strict=True):
        assert not best.order.failed
        assert len(plain.strokes.lines) == len(best.strokes.lines)
        assert plain.order.planned.travel >= best.order.planned.travel
        assert plain.order.planned.loose == 0


def test_a_fault_of_our_own_is_not_laid_on_the_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    """It passes, so that it is reported and mended."""

    def broken(*_: object) -> None:
        raise AttributeError("'Task' object has no attribute 'turn'")

    monkeypatch.setattr(plan, "tear_costs", broken)
    with pytest.raises(AttributeError, match="turn"):
        prepare_job(make_job(SAMPLES / "divider.svg", effort="quick"))


def test_a_library_without_lua_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    with pytest.raises(EngineError, match="brings no Lua"):
        order_engine.engine.__wrapped__()
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: "there")
    monkeypatch.setattr(order_engine, "_DIALECTS", ("lua00",))
    with pytest.raises(EngineError, match="lua00"):
        order_engine.engine.__wrapped__()


def test_the_plain_order_is_the_engines_nearest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two ways to the same tour: ours needs no engine."""
    job = make_job(SAMPLES / "honeycomb-lace.svg", effort="quick")
    best = prepare_job(job)
    monkeypatch.setattr(search, "engine", _missing)
    plain = prepare_job(job)
    assert plain.sheets[0].order.planned.travel == pytest.approx(
        best.sheets[0].order.nearest.travel, rel=0.05
    )
