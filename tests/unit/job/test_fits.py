"""Pieces of a job that belong together."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.errors import JobError
from cutprep.job.file import load_job
from cutprep.job.pieces.fits import fits_told
from cutprep.job.pipeline import run
from cutprep.model.findings.finding import Stopped
from cutprep.stages.fold.fit.tell import Wanted
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
        ('outer = "lid.svg#two"\ninner = "base.svg"', "no number of a part"),
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


def test_declared_and_found() -> None:
    base, lid = folded(ngon_tray(4, 60, 30)), folded(ngon_tray(4, 62, 12))
    pieces = [("base.svg", (base,)), ("lid.svg", (lid,))]
    (found,) = fits_told((), pieces)
    assert (found.code, found.measure) == ("fit", pytest.approx(1.0, abs=1e-4))
    (only,) = fits_told([Wanted("lid.svg", "base.svg")], pieces)  # what is declared is told once
    assert only.measure == pytest.approx(1.0, abs=1e-4)
    assert fits_told([Wanted("lid.svg#2", "base.svg")], pieces)[0].code == "fit-unknown"
    assert not fits_told((), [("base.svg", (base,)), ("tray.svg", (folded(tray()),))])
