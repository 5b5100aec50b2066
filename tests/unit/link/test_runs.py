"""What is run: a proved job, a single file, the rest of one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import cutprep
from cutprep.errors import CutprepError, JobError, OutOfReach, ReadbackError
from cutprep.job.api import make_job, prepare_job
from cutprep.link.runs import file_run, files_in_order, from_stroke, job_runs, proved
from cutprep.link.sending import refuse_unasked
from cutprep.link.words import first_words
from cutprep.profile.line import LineStyle
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance
from tests.plans import MACHINE, plan

SAMPLES = Path(__file__).parents[3] / "samples"
STROKES = [(3, [(10, 10), (20, 10)]), (3, [(30, 10), (30, 40)]), (1, [(5, 5), (50, 5), (50, 60)])]


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("job") / "tags"
    prepare_job(
        make_job(
            SAMPLES / "swing-tag.svg", copies=5, sheet="100x150mm", machine="belt-servo-400", effort="quick"
        ),
        folder,
    )
    return folder


def test_sheets_are_laid_in_as_often_as_they_are_run(job: Path) -> None:
    runs = job_runs(job, Tolerance())
    assert [run.sheet for run in runs] == list(range(1, runs[0].sheets + 1))
    assert len(runs) > 1
    record = proved(job, Tolerance())
    assert [(run.sheet, run.file) for run in runs] == files_in_order(record, None)
    assert [run.sheet for run in job_runs(job, Tolerance(), sheet=2)] == [2]
    with pytest.raises(JobError, match="no sheet 99"):
        job_runs(job, Tolerance(), sheet=99)


def test_the_sheet_of_a_file_is_told_to_one_who_names_the_file_alone(job: Path) -> None:
    first, *_, last = job_runs(job, Tolerance())
    assert first.file != last.file
    with pytest.raises(JobError) as told:
        job_runs(job, Tolerance(), file=last.file)
    assert told.value.fix == f"Sheet {last.sheet} has it: --sheet {last.sheet}."


def test_a_job_takes_how_it_is_spoken_to_from_the_profile_of_now(job: Path) -> None:
    style = LineStyle(speed=19200, window=127)
    assert {run.machine.line for run in job_runs(job, Tolerance(), style=style)} == {style}


def test_what_is_not_what_was_prepared_is_not_sent(job: Path, tmp_path: Path) -> None:
    spoilt = tmp_path / "spoilt"
    spoilt.mkdir()
    for file in job.iterdir():
        data = file.read_bytes()
        (spoilt / file.name).write_bytes(
            data.replace(b"G1 X", b"G1 X1", 1) if file.suffix == ".gcode" else data
        )
    with pytest.raises(ReadbackError, match=r"not what was prepared.*Nothing was sent"):
        job_runs(spoilt, Tolerance())


def test_the_rest_of_a_file_is_its_strokes_from_there(tmp_path: Path) -> None:
    for language in ("hpgl", "gcode"):
        path = tmp_path / f"sheet.{language}"
        path.write_text(write(plan(STROKES), MACHINE, language))
        whole = file_run(path, MACHINE, Tolerance())
        rest = file_run(path, MACHINE, Tolerance(), stroke=2)
        assert (whole.skipped, rest.skipped) == (0, 1)
        assert (whole.script.strokes, rest.script.strokes) == (3, 2)
        wanted = whole.script.moves.xy[whole.script.moves.down][1:]
        assert np.array_equal(rest.script.moves.xy[rest.script.moves.down], wanted)
        assert not rest.script.moves.down[0]
        assert rest.script.first_tool == 3
        for stroke in (0, 4):
            with pytest.raises(JobError, match=f"no stroke {stroke}"):
                from_stroke(whole, stroke, Tolerance())


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("IN;SP1;PU400,400;PD20000,400;PU0,0;SP0;", OutOfReach),
        ("no machine file", CutprepError),
        ("IN;SP1;PU400,400;PD800,400;", CutprepError),
    ],
)
def test_a_file_that_a_machine_should_not_get_is_not_sent(
    tmp_path: Path, text: str, fault: type[Exception]
) -> None:
    (tmp_path / "odd.hpgl").write_text(text)
    with pytest.raises(fault):
        file_run(tmp_path / "odd.hpgl", MACHINE, Tolerance())


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="there is no such file"):
        file_run(tmp_path / "none.hpgl", MACHINE, Tolerance())
    with pytest.raises(JobError, match="can't be read"):
        file_run(tmp_path, MACHINE, Tolerance())


def test_a_drawing_is_for_the_machines_own_program(job: Path, tmp_path: Path) -> None:
    profile = tmp_path / "drawn.toml"
    profile.write_text(
        'area = "200x200mm"\nlanguages = ["svg"]\n[[tool]]\nname = "knife"\nnumber = 1\ndoes = ["cut", "score"]\n'
    )
    out = tmp_path / "drawn"
    prepare_job(
        make_job(SAMPLES / "swing-tag.svg", sheet="100x150mm", machine=str(profile), effort="quick"), out
    )
    with pytest.raises(JobError, match="only the machine's own program reads"):
        job_runs(out, Tolerance())


def test_moves_left_out_are_none_of_the_rest(tmp_path: Path) -> None:
    machine = replace(MACHINE, change_how="automatic")
    path = tmp_path / "sheet.hpgl"
    path.write_text(write(plan(STROKES), machine, "hpgl"))
    rest = file_run(path, machine, Tolerance(), stroke=3)
    assert rest.script.moves.tool[rest.script.moves.down].tolist() == [1, 1]
    assert rest.script.pieces[1] == b"SP1;"


@pytest.fixture(scope="module")
def two_sided(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two equal sheets that are scored from the back first."""
    folder = tmp_path_factory.mktemp("sides")
    card = folder / "card.svg"
    card.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="70mm" height="50mm" viewBox="0 0 70 50"><g id="mountain" '
        'fill="none" stroke="#00f"><path d="M30 5V45M40 5V45"/></g><g id="cut" fill="none" stroke="#000"><path '
        'd="M1 1H69V49H1Z"/></g></svg>'
    )
    cutprep.prepare(
        card, copies=2, sheet="90x70mm", from_back="mountains", effort="quick", out=folder / "out"
    )
    return folder / "out"


def test_each_sheet_is_worked_from_both_sides_before_the_next_one_is_laid_in(two_sided: Path) -> None:
    runs = job_runs(two_sided, Tolerance())
    assert [(run.sheet, run.file, run.side) for run in runs] == [
        (1, "sheet-01-back.hpgl", "back"),
        (1, "sheet-01-front.hpgl", "front"),
        (2, "sheet-01-back.hpgl", "back"),
        (2, "sheet-01-front.hpgl", "front"),
    ]
    words = [first_words(run, before, "COM3") for before, run in zip((None, *runs), runs, strict=False)]
    assert "Lay sheet 1 of 2 in, its back up" in words[0]
    assert "turn the sheet over sideways, like a page, and lay it by the same edges" in words[1]
    assert "Lay" not in words[1].split("turn the sheet over")[0]
    assert "Lay sheet 2 of 2 in, its back up" in words[2]
    assert "find its four crosses" in first_words(replace(runs[1], marks=True), runs[0], "COM3")
    assert "endways" in first_words(replace(runs[1], turned="endways"), runs[0], "COM3")
    with pytest.raises(JobError, match="without a change of tool by hand"):
        refuse_unasked(runs[:2])


def test_going_on_at_the_front_never_scores_the_back_again(two_sided: Path) -> None:
    runs = job_runs(two_sided, Tolerance(), sheet=2, file="sheet-01-front.hpgl", stroke=1)
    assert [(run.sheet, run.side) for run in runs] == [(2, "front")]
    with pytest.raises(JobError, match=r"has no file 'sheet-01-frnt\.hpgl'"):
        job_runs(two_sided, Tolerance(), file="sheet-01-frnt.hpgl")
