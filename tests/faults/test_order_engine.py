"""The search for an order breaks down: the nearest line comes next, the job says so and is finished."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import wasmtime

from cutprep.job.api import make_job, prepare_job
from cutprep.job.folder.verify import verify
from cutprep.stages.order import plan
from cutprep.stages.order.tour import engine, instance
from cutprep.stages.order.tour.instance import EngineError, Instance

SAMPLES = Path(__file__).parents[2] / "samples"


class _Sick(Instance):
    """The search, with something else in place of what its functions give back."""

    answer: Callable[[], int]

    def call(self, name: str, *given: float) -> Any:
        if name in ("best_tour", "nearest_walk", "solve_exactly"):
            return self.answer()
        return super().call(name, *given)


def _sick(answer: Callable[[], int]) -> type[Instance]:
    return type("_Sick", (_Sick,), {"answer": staticmethod(answer)})


class _Trapped(Instance):
    """The search stops where nothing should ever come."""

    def call(self, name: str, *given: float) -> Any:
        return super().call("allocate", 0xFFFFFFF0 - (1 << 32) if name != "allocate" else 8)


def _missing() -> Instance:
    raise EngineError("No module named 'wasmtime'")


MAD: dict[str, tuple[Callable[[], Instance], str]] = {
    "has no memory": (_Trapped, "unreachable"),
    "talks nonsense": (_sick(lambda: 1024), "gave back something"),
    "gives nothing": (_sick(lambda: 0), "gave back nothing"),
    "points outside its memory": (_sick(lambda: -16), "gave back nothing"),
    "is not there": (_missing, "No module named"),
}


@pytest.mark.parametrize("how", MAD)
@pytest.mark.parametrize("finish", ["sheet", "copy"])
def test_an_engine_that_breaks_down_stops_no_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str, finish: str
) -> None:
    mad, said = MAD[how]
    monkeypatch.setattr(engine, "Instance", mad)
    job = make_job(SAMPLES / "divider.svg", copies=4, effort="quick", finish=finish)
    outcome = prepare_job(job, tmp_path / "out")
    told = [f.problem for f in outcome.findings if f.code == "plain-order"]
    assert told
    assert all(said in text and "nearest line comes next" in text for text in told)
    assert "nearest line comes next" in (tmp_path / "out" / "job-sheet.html").read_text(encoding="utf-8")
    assert verify(tmp_path / "out").sound
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


def test_a_library_or_a_search_that_is_missing_or_damaged_is_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    library, module = instance._library.__wrapped__, instance._module.__wrapped__
    monkeypatch.setitem(sys.modules, "wasmtime", None)
    with pytest.raises(EngineError, match="wasmtime"):
        library()
    monkeypatch.undo()
    for content in (None, b"", b"no WebAssembly"):
        search = tmp_path / "engine.wasm"
        if content is not None:
            search.write_bytes(content)
        monkeypatch.setattr(instance, "_SEARCH", search)
        with pytest.raises(EngineError):
            module()


def test_what_was_compiled_of_the_search_is_kept_and_compiled_anew_when_damaged(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(instance, "compiled_beside", lambda _: tmp_path / "kept")
    module = instance._module.__wrapped__
    module()
    (kept,) = (tmp_path / "kept").iterdir()
    first = kept.read_bytes()
    monkeypatch.setattr(instance._library(), "Module", _NeverCompiles)
    module()  # it is taken from there
    monkeypatch.undo()
    monkeypatch.setattr(instance, "compiled_beside", lambda _: tmp_path / "kept")
    kept.write_bytes(b"compiled by another version")
    module()
    assert kept.read_bytes() == first


class _NeverCompiles:
    def __init__(self, *_: object) -> None:
        raise AssertionError("it was compiled")

    deserialize = wasmtime.Module.deserialize


def test_the_plain_order_is_the_engines_nearest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two ways to the same tour: ours needs no engine."""
    job = make_job(SAMPLES / "honeycomb-lace.svg", effort="quick")
    best = prepare_job(job)
    monkeypatch.setattr(engine, "Instance", _missing)
    plain = prepare_job(job)
    assert plain.sheets[0].order.planned.travel == pytest.approx(
        best.sheets[0].order.nearest.travel, rel=0.05
    )
