"""What a maker who writes Python gives as comes naturally: one word for a list of one, a path for a profile, a pair for a size."""

from __future__ import annotations

from pathlib import Path

import pytest

import cutprep
from cutprep.errors import JobError
from cutprep.job.build import settings_data
from tests.kept_readings import CARD
from tests.svg_text import SPACE

#: A square of an inch with a cut of 2 mm that stands alone.
STUB = f"""<svg {SPACE} width="2in" height="2in" viewBox="0 0 2 2" fill="none" stroke="#000" stroke-width=".01">
<g id="cut"><path d="M.5 .5H1.5V1.5H.5Z"/><path d="M.9 1H.97874"/></g></svg>"""


@pytest.fixture
def card(tmp_path: Path) -> Path:
    path = tmp_path / "card.svg"
    path.write_text(CARD, encoding="utf-8")
    return path


def test_a_pair_of_sides_is_a_sheet_in_mm(card: Path) -> None:
    (size,) = cutprep.make_job(card, sheet=(200.5, 150)).batches[0].sheets
    assert (size.width, size.height) == (200.5, 150)
    with pytest.raises(JobError, match="sheet"):
        cutprep.make_job(card, sheet=(200, 150, 3))  # type: ignore[typeddict-item]


def test_one_word_stands_for_a_list_of_it(card: Path, tmp_path: Path) -> None:
    assert cutprep.make_rules("score=perforate") == cutprep.make_rules(["score=perforate"])
    stub = tmp_path / "stub.svg"
    stub.write_text(STUB, encoding="utf-8")
    assert [change.code for change in cutprep.mend(stub, ask="stubs")[1]] == ["removed-stub"]


def test_a_path_names_a_profile(card: Path, tmp_path: Path) -> None:
    profile = tmp_path / "thin.toml"
    profile.write_text('title = "Thin"\ncaliper = "0.2mm"\n[[sheet]]\nname = "A4"\nsize = "210x297mm"\n')
    by_path, by_text = (cutprep.make_job(card, stock=name) for name in (profile, str(profile)))
    assert by_path.batches[0].stock.caliper == 0.2
    assert settings_data(by_path) == settings_data(by_text)


def test_what_can_not_be_is_refused_not_taken_for_nothing(card: Path) -> None:
    drawing = cutprep.read(card)
    assert cutprep.check(drawing, blade_offset="0.25mm") == cutprep.check(drawing, blade_offset=0.25)
    for wrong in (-1.0, float("nan"), float("inf"), "-1mm"):
        with pytest.raises(JobError, match=r"offset|length"):
            cutprep.check(drawing, blade_offset=wrong)
        with pytest.raises(JobError, match=r"strip|length"):
            cutprep.check(drawing, strip=wrong)
    for size in ((70.0,), (70.0, 0.0), (70.0, float("nan")), "70mm"):
        with pytest.raises(JobError):
            cutprep.check(drawing, expect=size)  # type: ignore[arg-type]
