"""Pieces of a job that belong together."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.errors import JobError
from cutprep.job.api import make_job
from cutprep.job.file import load_job
from cutprep.job.job import Item
from cutprep.job.loading import Loaded, load_all
from cutprep.job.pieces.fits import fits_told
from cutprep.job.pipeline import run
from cutprep.model.findings.finding import Stopped
from cutprep.stages.fold.fit.tell import Wanted
from cutprep.tolerance import Tolerance
from tests.cli.test_more_commands import good
from tests.folding import folded
from tests.nets import Sketch, ngon_tray, tray

CARD = '[[stock]]\nname = "card-220"\ncaliper = "0.5mm"\n'


def draw(path: Path, sketch: Sketch) -> None:
    def way(line: list[tuple[float, float]]) -> str:
        return "M" + "L".join(f"{x:.4f} {400 - y:.4f}" for x, y in line)

    cuts, scores = (" ".join(map(way, lines)) for lines in (sketch.cuts, sketch.scores))
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">'
        f'<path id="cut" d="{cuts}"/><path id="score" d="{scores}"/></svg>'
    )


@pytest.fixture
def fair(tmp_path: Path) -> Path:
    draw(tmp_path / "base.svg", ngon_tray(4, 60, 30))
    draw(tmp_path / "lid.svg", ngon_tray(4, 60.8, 12))
    return tmp_path


def job_file(folder: Path, fits: str) -> Path:
    path = folder / "fair.toml"
    path.write_text(f'{CARD}[[template]]\nfile = "base.svg"\n[[template]]\nfile = "lid.svg"\n{fits}')
    return path


def test_a_lid_that_is_too_small_stops_the_job(fair: Path) -> None:
    """Bare walls: the lid is larger by 0.8 mm, card of 0.5 mm takes 1 mm."""
    job = load_job(job_file(fair, '[[fits]]\nouter = "lid.svg"\ninner = "base.svg"\n'))
    assert job.fits == (Wanted("lid.svg", "base.svg"),)
    with pytest.raises(Stopped) as stopped:
        run(job)
    (finding,) = (f for f in stopped.value.findings if f.code == "fit-too-small")
    assert finding.problem == "'lid' is 0.2 mm all round too small to go over 'base', in card of 0.5 mm"


@pytest.mark.parametrize(
    ("fits", "words"),
    [
        ('outer = "lid.svg"\ninner = "bace.svg"', "no template of this job is 'bace.svg'.*base.svg"),
        ('outer = "lid.svg"', "inner"),
        ('outer = "lid.svg"\ninner = "base.svg"\nroom = "1mm"', "room"),
    ],
)
def test_what_is_written_wrong_is_told_by_its_key(fair: Path, fits: str, words: str) -> None:
    with pytest.raises(JobError, match=f"(?s){words}"):
        load_job(job_file(fair, f"[[fits]]\n{fits}\n"))


def test_sizes_and_clearances(fair: Path) -> None:
    job = load_job(
        job_file(fair, '[[fits]]\nouter = "base.svg#1"\ninner = "40x40x25mm"\nclearance = "0.3mm"\n')
    )
    assert job.fits == (Wanted("base.svg#1", (40, 40, 25), 0.3),)


def loaded(name: str, sketch: Sketch) -> Loaded:
    drawing = sketch.drawing()
    return Loaded(Item(Path(name), 1), drawing, (), (folded(sketch),))


def test_declared_and_found() -> None:
    base, lid = loaded("base.svg", ngon_tray(4, 60, 30)), loaded("lid.svg", ngon_tray(4, 62, 12))
    pieces = [base, lid]
    (found,) = fits_told((), pieces, Tolerance())
    assert (found.code, found.measure) == ("fit", pytest.approx(1.0, abs=1e-4))
    (only,) = fits_told([Wanted("lid.svg", "base.svg")], pieces, Tolerance())  # what is declared is told once
    assert only.measure == pytest.approx(1.0, abs=1e-4)
    unknown, _ = fits_told([Wanted("lid.svg#2", "base.svg")], pieces, Tolerance())
    assert unknown.code == "fit-unknown"
    assert "'2' is no piece of this drawing" in unknown.problem
    assert "part 1 (number 1)" in unknown.fix
    assert not fits_told((), [base, loaded("tray.svg", tray())], Tolerance())


@pytest.mark.parametrize("apart", ["false", "true"])
@pytest.mark.parametrize("outer", ["box.svg#2", "box.svg#lid", "box.svg#Lid"])
def test_a_piece_is_named_as_everywhere_however_it_is_laid(tmp_path: Path, apart: str, outer: str) -> None:
    """The lid is the second piece for `--piece`, on the making sheet, and here; its play is 1 mm in the template."""
    good(
        "template", "tray-with-lid", "length=50mm", "width=40mm", "height=20mm", "--out", tmp_path / "box.svg"
    )
    path = tmp_path / "job.toml"
    path.write_text(
        f'effort = "quick"\n{CARD}[[template]]\nfile = "box.svg"\npieces_apart = {apart}\n'
        f'[[fits]]\nouter = "{outer}"\ninner = "box.svg"\nclearance = "5mm"\n'
    )
    (told,) = (f for f in run(load_job(path)).findings if f.code == "fit-tight")
    tray_name = "'box, tray'" if apart == "false" else "'box'"
    assert told.problem.startswith("'box, lid' has ")
    assert f"of room on each side to go over {tray_name}" in told.problem


def test_folding_counts_pieces_as_they_are_laid_out(tmp_path: Path) -> None:
    """The larger square stands second in the drawing, and is the second one, though its outline is in one line."""
    path = tmp_path / "two.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100"><g id="cut">'
        '<path d="M110 5H150V45H110Z"/><path d="M5 5H95V95H5Z"/></g><g id="score">'
        '<path d="M30 5V95M60 5V95"/><path d="M130 5V45"/></g></svg>'
    )
    (one,) = load_all(make_job(path))[0]
    assert [len(report.panels) for report in one.folds] == [2, 3]
    assert [report.name for report in one.folds] == ["two 1", "two 2"]
