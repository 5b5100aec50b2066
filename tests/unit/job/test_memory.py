"""What was made before is given again when, and only when, all that it was made of is the same."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from cutprep.job.api import make_job
from cutprep.job.folder.outputs import output_files
from cutprep.job.memory import Remembering
from cutprep.job.pipeline import run

SAMPLES = Path(__file__).parents[3] / "samples"


class _Counting(Remembering):
    """Counts what it really makes."""

    def __init__(self, most: int = 64) -> None:
        super().__init__(most)
        self.made: list[str] = []

    def __call__(self, what, inputs, make):
        def counted():
            self.made.append(what)
            return make()

        return super().__call__(what, inputs, counted)


def _job(**settings: object):
    return make_job(SAMPLES / "swing-tag.svg", copies=3, effort="quick", **settings)


def test_a_second_run_makes_nothing_and_gives_the_same_files() -> None:
    memory = _Counting()
    first = output_files(run(_job(), memory=memory))
    assert memory.made[:3] == ["drawing", "lines", "layout"]
    assert set(memory.made[3:]) == {"apart", "sheet"}
    memory.made.clear()
    assert output_files(run(_job(), memory=memory)) == first
    assert memory.made == []


def test_another_gap_lays_out_anew_and_reads_nothing() -> None:
    memory = _Counting()
    run(_job(), memory=memory)
    memory.made.clear()
    changed = run(_job(gap="6mm"), memory=memory)
    assert "drawing" not in memory.made
    assert "layout" in memory.made
    assert output_files(changed) == output_files(run(_job(gap="6mm")))


def test_another_title_makes_nothing() -> None:
    memory = _Counting()
    run(_job(), memory=memory)
    memory.made.clear()
    assert run(replace(_job(), title="Honey fair"), memory=memory).title == "Honey fair"
    assert memory.made == []


def test_another_speed_orders_and_cuts_anew() -> None:
    memory = _Counting()
    run(_job(), memory=memory)
    memory.made.clear()
    changed = run(_job(speed_factor=0.5), memory=memory)
    assert "drawing" not in memory.made
    assert "sheet" in memory.made
    assert output_files(changed) == output_files(run(_job(speed_factor=0.5)))


def test_a_changed_drawing_of_the_same_name_is_read_anew(tmp_path: Path) -> None:
    drawing = tmp_path / "tag.svg"
    drawing.write_bytes((SAMPLES / "swing-tag.svg").read_bytes())
    memory = _Counting()
    before = run(make_job(drawing, effort="quick"), memory=memory)
    drawing.write_bytes((SAMPLES / "jar-carton.svg").read_bytes())
    after = run(make_job(drawing, effort="quick"), memory=memory)
    assert memory.made.count("drawing") == 2
    assert after.templates[0].size != before.templates[0].size


def test_only_the_last_results_are_kept() -> None:
    memory = _Counting(most=1)
    assert [memory("it", (n,), lambda n=n: 2 * n) for n in (1, 2, 1)] == [2, 4, 2]
    assert len(memory.made) == 3
