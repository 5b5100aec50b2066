"""Card that is cut from its back: the sheet mirrored, and the pages saying so."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from cutprep.geometry.lines.rings import signed_area
from cutprep.geometry.turned_over import turned_over
from cutprep.job.api import make_job
from cutprep.job.pipeline import run
from cutprep.model.operation import Fold
from cutprep.report.jobsheet import job_sheet
from cutprep.report.outcome import Outcome
from cutprep.stages.divide import divide
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance

SAMPLES = Path(__file__).parents[3] / "samples"


@pytest.fixture(scope="module")
def down() -> Outcome:
    return run(make_job(SAMPLES / "swing-tag.svg", face_down=True, also=[]))


def test_every_line_is_mirrored_and_outlines_still_run_counter_clockwise() -> None:
    template = divide(KINDS["gathered-box"].from_values(), Tolerance())
    back = turned_over(template)
    width, _ = template.size
    for i in range(len(template.lines)):
        points = back.lines.points(i)[::-1] if template.lines.closed[i] else back.lines.points(i)
        mirrored = template.lines.points(i) * (-1, 1) + (width, 0)
        assert np.abs(points - mirrored).max() < 1e-9
    outline = back.lines.points(back.parts[0].outline)
    assert signed_area(outline) == pytest.approx(
        signed_area(template.lines.points(template.parts[0].outline))
    )
    assert (back.lines.fold == -template.lines.fold).all()
    assert Fold.MOUNTAIN in back.lines.fold.tolist()


def test_turning_over_twice_changes_nothing() -> None:
    template = divide(KINDS["prism-carton"].from_values(), Tolerance())
    again = turned_over(turned_over(template))
    assert np.abs(again.lines.xy - template.lines.xy).max() < 1e-9
    assert again.grain == template.grain


def test_the_machine_file_is_that_of_the_mirrored_template(down: Outcome) -> None:
    up = run(make_job(SAMPLES / "swing-tag.svg"))
    cuts = [
        np.sort(np.round(o.sheets[0].placed.xy[:, 0] - o.sheets[0].placed.bounds[0], 6)) for o in (up, down)
    ]
    width = up.templates[0].size[0]
    assert cuts[1] == pytest.approx(np.sort(width - cuts[0]), abs=1e-5)


def test_pages_say_that_the_back_is_up(down: Outcome) -> None:
    page = job_sheet(down)
    assert "The cards lie face down." in page
    assert ">back of the card up</text>" in page
    assert "this side up" not in page
    assert ">this side up</text>" in job_sheet(run(make_job(SAMPLES / "swing-tag.svg")))
