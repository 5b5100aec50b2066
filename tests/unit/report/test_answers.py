"""What each step of a job comes to, in one sentence."""

from __future__ import annotations

from dataclasses import replace

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import Verdict
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.profile import shelf
from cutprep.report import answers
from tests.folding import folded_kind


def drawing(*rows: tuple[str, Operation]) -> Drawing:
    """A line for each row, on the layer that it names."""
    lines = Lines.of(
        [[[0, k], [9, k]] for k in range(len(rows))],
        operation=[operation for _, operation in rows],
        source=range(len(rows)),
        elements=tuple(Element(layer=layer) for layer, _ in rows),
    )
    return Drawing("box", lines)


def test_what_is_made_names_four_drawings_and_counts_the_rest() -> None:
    made = [("carton.svg", 1200), ("tag.svg", 24)]
    assert answers.make_answer(made) == "1,200 of carton.svg, 24 of tag.svg"
    many = [(f"{word}.svg", 2) for word in "abcdef"]
    assert answers.make_answer(many[:5]).endswith("2 of d.svg and 1 more drawing")
    assert answers.make_answer(many).endswith("2 of d.svg and 2 more drawings")


def test_lines_are_counted_by_what_is_done_and_layers_that_are_not_worked_are_named() -> None:
    box = drawing(
        ("cut", Operation.CUT), ("fold", Operation.SCORE), ("fold", Operation.SCORE), ("tear", Operation.PERFORATE),
        ("kiss", Operation.PARTIAL_CUT), ("pen", Operation.DRAW), ("notes", Operation.GUIDE), ("notes", Operation.GUIDE),
    )  # fmt: skip
    said = "2 to cut, 2 to score, 1 to perforate, 1 to cut part deep, 1 to draw; “notes” and “unnamed” are left out"
    more = drawing(("cut", Operation.CUT), ("", Operation.GUIDE))
    assert answers.lines_answer([box, more]) == said
    assert answers.lines_answer([more]) == "1 to cut; “unnamed” is left out"
    assert answers.lines_answer([drawing(("a", Operation.GUIDE))]).startswith(
        "nothing to cut, score or draw; “a”"
    )
    unknown = [(name, Operation.UNPLACED) for name in ("lid", "lid", "", "w", "x", "y")]
    assert answers.unplaced_answer([drawing(*unknown[:2])]) == "What is “lid” for?"
    assert answers.unplaced_answer([drawing(*unknown)]) == "What are “lid”, “unnamed”, “w” and “x” for?"
    assert answers.unplaced_answer([box]) == ""


def test_what_is_wrong_is_the_one_thing_or_how_many() -> None:
    gap = Finding.of("open-outline", "An outline has a gap.")
    thin, note = Finding.of("thin-strip", "A strip is thin."), Finding.of("removed-stub", "Gone.")
    for found, said in (
        ([], "Nothing"),
        ([note, note], "Nothing"),
        ([note, thin], "A strip is thin."),
        ([gap, thin, gap, note], "2 errors and 1 warning"),
        ([gap, gap], "2 errors"),
        ([thin, thin], "2 warnings"),
    ):
        assert answers.wrong_answer(found) == said


def test_what_it_folds_to_is_said_once_in_the_unit_that_is_asked_for() -> None:
    (tray,) = folded_kind("tray")
    assert answers.fold_answer([]) == "Nothing to fold"
    said = "an open box, 132.0 x 78.0 x 30.0 mm inside, 312.3 cm3"
    assert answers.fold_answer([tray, tray]) == said
    assert answers.fold_answer([tray], "in").startswith("an open box, 5 3/16 x 3 1/16 x 1 3/16 in (5.197 x")
    two = [replace(tray, name="tray, small 1"), replace(tray, name="tray, small, lid", piece="lid")]
    assert answers.fold_answer(two) == f"{said}; the lid: {said}"  # a comma in a file's name calls nothing
    assert answers.fold_answer(two[1:]) == said
    several = [replace(tray, verdict=one, inside_mm=None, volume_mm3=0.0) for one in Verdict][:6]
    assert answers.fold_answer(several).endswith("; and 2 more")
    assert answers.fold_answer(several).count("; ") == 4


def test_on_what_it_is_made() -> None:
    stocks = [shelf.stock(name) for name in ("card-220", "kraft-280")]
    machine = shelf.machine("mat-cutter-300")
    said = f"{stocks[0].title} and {stocks[1].title}; {machine.title}"
    assert answers.card_answer(stocks, machine) == said
