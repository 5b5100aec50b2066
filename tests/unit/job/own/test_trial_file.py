"""A trial as a job file is the same job, and says again what it tries."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.errors import CutprepError
from cutprep.job.file import load_job
from cutprep.job.loading import load_all
from cutprep.job.own.trial import DECIDES, Span, trial_job
from cutprep.job.own.trial_file import trial_files, tried
from cutprep.job.settings.resolve import Given, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS
from cutprep.stages.blade.cutting import LayerFigures


def test_a_trial_is_the_same_job_when_it_is_read_from_its_file(tmp_path: Path) -> None:
    asked = {"stock": "kraft-280", "sheet": "8x10in", "margin": "1/4in"}
    layer = read_layer(SETTINGS.values(), Given(asked), Source.OPTION, as_typed)
    span = Span(steps=3)
    files = trial_files(list(DECIDES), [layer], span, corner="upper-right", pen=True)
    (tmp_path / "job.toml").write_text(files.pop(""))
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    job = load_job(tmp_path / "job.toml")
    same, _ = trial_job(list(DECIDES), [layer], span, tmp_path, corner="upper-right", pen=True)
    assert job.cutting == same.cutting
    assert job.batches[0].sheets == same.batches[0].sheets
    assert job.batches[0].spots[0].x == pytest.approx(same.batches[0].spots[0].x, abs=1e-4)
    assert (job.items[0].rules, job.nesting.margin) == (same.items[0].rules, pytest.approx(6.35))
    assert tried(job.cutting.layers)["overcut"] == [0, 0.7, 1.4]
    assert [len(one) for one in tried(job.cutting.layers).values()] == [3, 3, 3, 3, 4]
    assert tried((("lid", LayerFigures(force=3.0)),)) == {}


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ('layer = "lid"', "no figure is given"),
        ('layer = "lid"\nforce = "much"', "force"),
        ('layer = "lid"\noverkut = "1mm"', "Did you mean overcut"),
        ('layer = "lid"\npasses = 2\n[[worked]]\nlayer = "lid"\nforce = 3', "stands twice"),
        ('layer = "tip"\npasses = 2', "no drawing has a layer 'tip'"),
    ],
)
def test_figures_of_a_layer_that_can_t_be_are_told(tmp_path: Path, table: str, message: str) -> None:
    (tmp_path / "lid.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
        '<g id="lid" fill="none" stroke="#000"><path d="M5 5H55V35H5Z"/></g></svg>'
    )
    path = tmp_path / "job.toml"
    path.write_text(f'[[worked]]\n{table}\n[[template]]\nfile = "lid.svg"\nlayers = {{ lid = "cut" }}\n')
    with pytest.raises(CutprepError, match=message):
        load_all(load_job(path))
