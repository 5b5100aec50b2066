"""Fields are made of the table of settings: whoever adds one there finds it on the page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cutprep.desk.fields import _KEPT, fields_of, on_the_page, typed
from cutprep.desk.paper import paper_page
from cutprep.desk.plan.resolved import resolved
from cutprep.desk.shelf import Folder
from cutprep.errors import JobError
from cutprep.job.settings.setting import Group
from cutprep.job.settings.table import SETTINGS
from cutprep.stages.mend.mending import KEEP

#: Settings that the page asks for by a picture or a table of its own.
BY_HAND = {"layers", "colours", "pieces", "leave", "places", "keep_out", "align"}
#: Reasons are read on the job sheet, not on the page.
NOT_ON_THE_PAGE = {"explain"}


def _job(tmp_path: Path, text: str = '[[template]]\nfile = "a.svg"\n') -> Path:
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_setting_is_on_the_page(tmp_path: Path) -> None:
    _job(tmp_path)
    (tmp_path / "paper.json").write_text(
        '{"form": 4, "version": 1, "sections": {"making": {"state": "done", "answer": "1 of a.svg", "drawings": '
        '[{"row": 0, "pieces": [], "file": "a.svg", "size": "", "parts": "", "scale_note": "", "picture": ""}]}, '
        '"lines": {"state": "done", "answer": ""}, "wrong": {"state": "done", "answer": "", "errors": 1},'
        '"sheets": {"state": "done", "answer": ""}, "folds": {"state": "done", "answer": ""}, "card": {"state": "done", "answer": ""},'
        '"cutting": {"state": "done", "answer": "", "error": "", "scoring": "", "area": "", "cautions": [], "papers": [], "printed": [], '
        '"sheets": [{"number": 1, "runs": 1, "time": "", "files": [], "strokes": ""}]}}}'
    )
    page = paper_page(Folder(tmp_path))
    missing = {name for name in SETTINGS if not re.search(rf'name="[a-z0-9-]+/{name}"', page)}
    assert missing == BY_HAND | NOT_ON_THE_PAGE | {"keep"}  # what is kept is asked for once mending is on


def test_a_field_says_its_default_its_value_and_where_it_came_from(tmp_path: Path) -> None:
    values = resolved(_job(tmp_path, 'gap = "1/8 in"\n[[template]]\nfile = "a.svg"\n'))
    fields = {
        field.name: field
        for field in fields_of(
            "job", values["job"], list(Group), lambda target, name: "1/8 in" * (name == "gap")
        )
    }
    assert (fields["gap"].value, fields["gap"].source) == ("1/8 in", "this job's")
    assert (fields["margin"].value, fields["margin"].hint, fields["margin"].source) == ("", "5mm", "built in")
    assert fields["windows"].flag
    assert fields["windows"].value == "no"
    assert fields["also"].several
    assert set(fields["effort"].choices) == {"quick", "normal", "thorough"}
    assert "mat-cutter-300" in fields["machine"].choices


def test_what_is_kept_of_a_fold_under_a_cut_is_said_in_words() -> None:
    assert set(_KEPT) == set(KEEP)


@pytest.mark.parametrize(
    ("name", "words", "raw"),
    [
        ("gap", ["1/8 in"], "1/8 in"), ("gap", [""], None), ("gap", ["  "], None), ("windows", ["no", "yes"], True),
        ("windows", ["no"], False), ("copies", ["12"], 12), ("spare", ["2.5"], 2.5), ("also", ["", "svg", "pdf"], ["svg", "pdf"]),
        ("also", [""], None), ("passes_force", ["80,120"], [80.0, 120.0]), ("expect", ["5 1/8x3 3/4in"], "5 1/8x3 3/4in"),
        ("names", [" Ana, Zo\u00eb;\nMia,"], ["Ana", "Zo\u00eb", "Mia"]), ("machine", ["mat-cutter-600"], "mat-cutter-600"), ("title", ["Honey & fair"], "Honey & fair"),
    ],
)  # fmt: skip
def test_what_is_typed_becomes_what_the_job_file_holds(name: str, words: list[str], raw: object) -> None:
    assert typed(name, words) == raw


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("gap", "wide"), ("gap", "3"), ("gap", "-1mm"), ("copies", "0"), ("copies", "1.5"), ("copies", "9" * 30),
        ("spare", "101"), ("spare", "nan"), ("effort", "soon"), ("expect", "large"), ("passes_force", "80,,"),
    ],
)  # fmt: skip
def test_what_can_not_be_is_refused_in_the_words_of_the_field(name: str, word: str) -> None:
    with pytest.raises(JobError) as told:
        typed(name, [word])
    assert SETTINGS[name].help.rstrip(".") in told.value.problem


@pytest.mark.parametrize(
    ("advice", "shown"),
    [
        ("Add --layer 'x=cut' or --colour '#2060c0=cut' (or =score, =guide, ...).", "Say under “The lines” what it is for."),
        ("Name it with --machine.", "Name it with “Machine profile, or a .toml file”."),
        ("Find it again; or allow more with --align-off.", "Find it again; or allow more with “How far a point may be off when all are aligned”."),
        ("Another one, or add --replace to replace what is there.", "Another one, or tick the box to replace what is there."),
        ("Draw 3 -- 4 mm wider.", "Draw 3 -- 4 mm wider."),
    ],
)  # fmt: skip
def test_advice_names_fields_of_the_page_and_no_options(advice: str, shown: str) -> None:
    assert on_the_page(advice) == shown
