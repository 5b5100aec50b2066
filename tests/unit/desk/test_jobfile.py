"""The job file is changed one key at a time; what stands beside it stays, and it is read as it was meant."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from cutprep.desk.plan.jobfile import JobFile
from cutprep.desk.plan.resolved import resolved, sizes_of
from cutprep.errors import JobError
from cutprep.job.settings.resolve import Given, Source, as_typed, read_layer
from cutprep.job.settings.table import SETTINGS

SAMPLE = (Path(__file__).parents[3] / "samples" / "honey-fair.toml").read_text(encoding="utf-8")
SMALL = '# mine\ntitle = "Fair"  # the village\n\n[[template]]\nfile = "a.svg" # first\n'


def _set(text: str, target: str, name: str, raw: object) -> dict:
    plan = JobFile(text)
    plan.set(target, name, raw)
    return tomllib.loads(plan.text)


def test_a_plain_key_goes_before_the_tables_and_comments_stay() -> None:
    plan = JobFile(SMALL)
    plan.set("job", "gap", "4mm")
    plan.set("template-0", "copies", 12)
    assert tomllib.loads(plan.text) == {
        "title": "Fair",
        "gap": "4mm",
        "template": [{"file": "a.svg", "copies": 12}],
    }
    for comment in ("# mine", "# the village", "# first"):
        assert comment in plan.text


def test_a_key_with_a_dot_stands_in_its_table_and_goes_with_it() -> None:
    plan = JobFile(SMALL)
    plan.set("job", "passes_count", 2)
    plan.set("job", "passes_by", "sheet")
    assert tomllib.loads(plan.text)["passes"] == {"count": 2, "by": "sheet"}
    plan.set("job", "passes_count", None)
    plan.set("job", "passes_by", None)
    assert "passes" not in tomllib.loads(plan.text)
    plan.set("job", "passes_by", None)  # what is not there can be taken out again


def test_cards_have_keys_of_their_own_where_they_are_listed() -> None:
    assert _set(SMALL, "card-0", "stock", "kraft-280")["stock"] == "kraft-280"
    assert _set(SMALL, "sheet-0-0", "sheet", "A4")["sheet"] == "A4"
    assert _set(SMALL, "card-0", "card_grain", 90)["card_grain"] == 90
    listed = _set(SAMPLE, "card-1", "card_grain", 90)["stock"]
    assert [card.get("grain") for card in listed] == [None, 90, None]
    sizes = _set(SAMPLE, "sheet-2-0", "at_hand", 7)["stock"][2]["sheet"]
    assert sizes == [{"size": "A4", "at_hand": 7}]


def test_a_card_without_a_size_gets_one() -> None:
    text = '[[stock]]\nname = "honey"\nlike = "card-220"\n[[template]]\nfile = "a.svg"\n'
    assert _set(text, "sheet-0-0", "sheet", "A4")["stock"] == [
        {"name": "honey", "like": "card-220", "sheet": [{"size": "A4"}]}
    ]


@pytest.mark.parametrize(
    ("target", "name"),
    [
        ("job", "copies"), ("template-0", "gap"), ("template-7", "copies"), ("template", "copies"), ("card-9", "stock"),
        ("sheet-0-9", "sheet"), ("job", "nothing"), ("template--1", "copies"), ("../job", "gap"), ("", ""),
    ],
)  # fmt: skip
def test_what_is_not_there_is_refused(target: str, name: str) -> None:
    plan = JobFile(SAMPLE)
    with pytest.raises(JobError):
        plan.set(target, name, 1)
    assert plan.text == SAMPLE


def test_rules_come_and_go_whatever_their_capitals() -> None:
    plan = JobFile(SMALL)
    plan.set_rule("template-0", "layers", "Lid [1]", "cut")
    plan.set_rule("template-0", "layers", "marks", "guide")
    plan.set_rule("template-0", "layers", "lid [1]", "score")
    assert tomllib.loads(plan.text)["template"][0]["layers"] == {"marks": "guide", "lid [1]": "score"}
    plan.set_rule("template-0", "layers", "marks", "")
    plan.set_rule("template-0", "layers", "LID [1]", "")
    assert tomllib.loads(plan.text) == tomllib.loads(SMALL)


def test_drawings_are_added_once_and_the_last_one_stays() -> None:
    plan = JobFile("")
    plan.add(["a.svg", "b.svg", "a.svg"])
    assert plan.files == ["a.svg", "b.svg"]
    plan.remove(0)
    assert plan.files == ["b.svg"]
    with pytest.raises(JobError, match="only drawing"):
        plan.remove(0)
    with pytest.raises(JobError):
        plan.remove(5)


def test_one_of_several_cards_is_named_for_a_new_drawing() -> None:
    plan = JobFile(SAMPLE)
    plan.add(["new.svg"])
    assert tomllib.loads(plan.text)["template"][-1] == {"file": "new.svg", "stock": "honey-yellow"}


def test_what_is_remembered_is_written_out_once() -> None:
    given = Given({"gap": "4mm", "stock": "kraft-280", "machine": "mat-cutter-600", "layers": ["lid=cut"]})
    yours = read_layer(SETTINGS.values(), given, Source.YOURS, as_typed)
    plan = JobFile('gap = "9mm"\n')
    plan.take_remembered(yours)
    assert tomllib.loads(plan.text) == {
        "gap": "9mm",
        "alone": True,
        "yours": ["layers.lid", "stock", "machine"],
        "stock": "kraft-280",
        "machine": "mat-cutter-600",
        "layers": {"lid": "cut"},
    }
    again = JobFile(plan.text)
    again.take_remembered(read_layer(SETTINGS.values(), Given({"margin": "1mm"}), Source.YOURS, as_typed))
    assert again.text == plan.text
    plan.set("job", "machine", "belt-servo-400")  # what she changes here is the job's own
    assert tomllib.loads(plan.text)["yours"] == ["layers.lid", "stock"]


def test_every_setting_that_has_a_field_survives_the_way_into_the_file_and_back(tmp_path: Path) -> None:
    values: dict[str, tuple[str, object]] = {
        "gap": ("job", "2.5mm"), "effort": ("job", "quick"), "windows": ("job", True), "also": ("job", ["svg", "pdf"]),
        "passes_force": ("job", [80.0, 120.0]), "bridges_width": ("job", "0.4mm"), "copies": ("template-0", 3),
        "expect": ("template-0", "40x70mm"), "grain": ("template-0", 30.0), "stock": ("card-0", "kraft-280"),
        "sheet": ("sheet-0-0", "A4"), "price": ("sheet-0-0", 0.6), "caliper": ("card-0", "0.3mm"), "dashed": ("template-0", "score"),
    }  # fmt: skip
    plan = JobFile(SMALL)
    for name, (target, raw) in values.items():
        plan.set(target, name, raw)
    path = tmp_path / "job.toml"
    path.write_text(plan.text, encoding="utf-8")
    found = resolved(path)
    for name, (target, raw) in values.items():
        entry = found[target].entry(name)
        assert entry.source is Source.JOB
        assert entry.setting.form.plain(entry.value) == raw, name


def test_what_is_no_toml_is_refused() -> None:
    for text in ("= =", "a = 1\na = 2", "[[x]", "\x00"):
        with pytest.raises(JobError, match="no job file"):
            JobFile(text)


def test_a_piece_has_a_card_and_a_count_of_its_own_until_it_has_neither() -> None:
    plan = JobFile(SMALL)
    plan.set_piece("template-0", "lid", "kraft-280", 1)
    plan.set_piece("template-0", "Lid", "kraft-280", 2)
    assert tomllib.loads(plan.text)["template"][0]["piece"] == [
        {"name": "Lid", "stock": "kraft-280", "count": 2}
    ]
    plan.set_piece("template-0", "lid", "", 1)
    assert "piece" not in tomllib.loads(plan.text)["template"][0]


def test_a_copy_belongs_to_the_template_of_its_card() -> None:
    row = '[[template]]\nfile = "a.svg"\nstock = "{}"\n'
    plan = JobFile(
        row.format("yellow") + row.format("kraft") + '[[template.piece]]\nname = "lid"\nstock = "white"\n'
    )
    assert [plan.owner("a.svg", "", card) for card in ("yellow", "kraft", "white")] == [0, 1, None]
    assert plan.owner("a.svg", "LID", "white") == 1
    assert JobFile(SMALL).owner("a.svg", "", "any") == 0


def test_a_new_count_lets_go_of_what_was_placed_by_hand() -> None:
    plan = JobFile(SMALL)
    assert not plan.let_go()
    plan.place(0, [{"sheet": 1, "x": "5 mm", "y": "5 mm"}])
    assert plan.let_go()
    assert tomllib.loads(plan.text) == tomllib.loads(SMALL)


def test_sizes_belong_to_their_card_alone() -> None:
    targets = ["job", "card-1", "sheet-1-0", "sheet-1-1", "card-10", "sheet-10-0"]
    assert sizes_of(targets, "card-1") == ["sheet-1-0", "sheet-1-1"]
    assert sizes_of(targets, "card-10") == ["sheet-10-0"]
