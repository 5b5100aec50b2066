"""Which operation a line is for."""

from __future__ import annotations

import pytest

from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Fold, Operation
from cutprep.model.rules import CHOICES, Rules, parse_colour, parse_kind, parse_rule
from cutprep.stages.classify import classify, kind_in

CUT, SCORE, GUIDE = Operation.CUT, Operation.SCORE, Operation.GUIDE


def drawing(*elements: Element) -> Drawing:
    rows = [[(0, i), (9, i)] for i in range(len(elements))]
    return Drawing("d", Lines.of(rows, source=list(range(len(elements))), elements=elements))


def operations(d: Drawing) -> list[Operation]:
    return [line.operation for line in d.lines]


@pytest.mark.parametrize(
    ("name", "operation", "fold"),
    [
        ("cut", CUT, Fold.UNSAID),
        ("Cuts", CUT, Fold.UNSAID),
        ("1 - cut", CUT, Fold.UNSAID),
        ("CUT_LINES", CUT, Fold.UNSAID),
        ("CutLines", CUT, Fold.UNSAID),
        ("cutlines", CUT, Fold.UNSAID),
        ("score", SCORE, Fold.UNSAID),
        ("Creases", SCORE, Fold.UNSAID),
        ("fold valley", SCORE, Fold.VALLEY),
        ("Mountain folds", SCORE, Fold.MOUNTAIN),
        ("perforated", Operation.PERFORATE, Fold.UNSAID),
        ("perforated valley fold", Operation.PERFORATE, Fold.VALLEY),
        ("half-cut", Operation.PARTIAL_CUT, Fold.UNSAID),
        ("PartialCutting", Operation.PARTIAL_CUT, Fold.UNSAID),
        ("draw", Operation.DRAW, Fold.UNSAID),
        ("pens", Operation.DRAW, Fold.UNSAID),
        ("guides", GUIDE, Fold.UNSAID),
        ("Dimensions", GUIDE, Fold.UNSAID),
        ("notes", GUIDE, Fold.UNSAID),
    ],
)
def test_words_of_the_trade(name: str, operation: Operation, fold: Fold) -> None:
    kind = kind_in(name)
    assert kind is not None
    assert (kind.operation, kind.fold) == (operation, fold)


@pytest.mark.parametrize(
    "name",
    ["", "Layer 1", "0", "shortcut", "lid", "do not cut", "uncut", "no fold", "cut and score",
     "mountain valley", "guide for cutting", "half", "don't cut"],
)  # fmt: skip
def test_names_that_say_nothing_or_two_things_place_nothing(name: str) -> None:
    assert kind_in(name) is None


def test_the_order_of_rules() -> None:
    red = Element(layer="lid", colour="#ff0000")
    named = Element(layer="cut", colour="#ff0000")
    rules = Rules(
        layers=(parse_rule("lid=score"),),
        colours=(("#ff0000", parse_kind("draw")),),
        dashed=parse_kind("perforate"),
    )
    dashed = Element(layer="", dash=(2.0, 1.0))
    own = Element(layer="box", ident="cut-3")
    done = classify(drawing(red, named, dashed, own), rules)
    assert operations(done) == [SCORE, Operation.DRAW, Operation.PERFORATE, CUT]
    assert done.rules == ("rule: layer lid", "rule: colour #ff0000", "rule: dashed", "own name 'cut-3'")


def test_dashed_lines_part_from_solid_ones_that_the_same_rule_places() -> None:
    """All in black on one layer, folds in dashes; a layer with nothing but dashes keeps its rule."""
    solid, dashed = Element(layer=""), Element(layer="", dash=(2.0, 1.0))
    tear = Element(layer="tear", dash=(2.0, 1.0))
    layers = (("unnamed", CHOICES["cut"]), ("tear", CHOICES["perforate"]))
    assert operations(classify(drawing(solid, dashed, tear), Rules(layers=layers))) == [
        CUT,
        CUT,
        Operation.PERFORATE,
    ]
    done = classify(drawing(solid, dashed, tear), Rules(layers=layers, dashed=CHOICES["score"]))
    assert operations(done) == [CUT, SCORE, Operation.PERFORATE]
    assert done.rules == ("rule: layer unnamed", "rule: dashed", "rule: layer tear")


def test_a_layer_of_solid_and_dashed_lines_is_shown_the_options_for_both() -> None:
    solid, dashed = Element(layer="box"), Element(layer="box", dash=(2.0, 1.0))
    (told,) = classify(drawing(solid, dashed), Rules()).notes
    assert told.fix is not None
    assert told.fix.startswith(
        "Add --layer box=cut --dashed score, which cuts the 1 solid and scores the 1 dashed"
    )


def test_a_rule_meets_any_group_of_the_chain_in_any_case() -> None:
    chain = Element(layer="Box/Lid/detail")
    for name in ("LID", "box/lid/detail", "detail"):
        assert operations(classify(drawing(chain), Rules(layers=(parse_rule(f"{name}=cut"),)))) == [CUT]
    assert operations(classify(drawing(Element(layer="")), Rules(layers=(parse_rule("unnamed=cut"),)))) == [
        CUT
    ]


def test_the_innermost_group_that_says_something_wins() -> None:
    assert operations(classify(drawing(Element(layer="cut/score/detail 3")), Rules())) == [SCORE]


def test_what_nothing_places_is_an_error_with_the_option_that_would_place_it() -> None:
    d = classify(
        drawing(Element(layer="my lid", colour="#123456"), Element(layer="my lid", colour="#123456")), Rules()
    )
    (found,) = d.notes
    assert found.severity is Severity.ERROR
    assert found.code == "unplaced-line"
    assert found.measure == 2
    assert "--layer 'my lid=cut'" in found.fix
    assert "#123456=cut" in found.fix
    assert operations(d) == [Operation.UNPLACED] * 2
    assert found.places[0].xy == (0.0, 0.0)


def test_filled_shapes_are_outlines_only_when_their_layer_says_so() -> None:
    plain, named = Element(layer="shapes", filled=True), Element(layer="cut", filled=True)
    done = classify(drawing(plain, named), Rules())
    assert operations(done) == [CUT]
    assert [f.code for f in done.notes] == ["fill-left-out"]
    asked = classify(drawing(plain), Rules(fill_as_outline=True))
    assert [f.code for f in asked.notes] == ["unplaced-line"]


@pytest.mark.parametrize("text", ["lid", "=cut", "lid=fly", "lid=", " = cut"])
def test_broken_rules_are_refused_with_what_to_write(text: str) -> None:
    with pytest.raises(JobError) as refused:
        parse_rule(text)
    assert "cut" in (refused.value.fix or "")


def test_an_equals_sign_within_a_name() -> None:
    assert parse_rule("a=b=cut")[0] == "a=b"


@pytest.mark.parametrize(("text", "colour"), [("#F00", "#ff0000"), ("d02020", "#d02020")])
def test_colours(text: str, colour: str) -> None:
    assert parse_colour(text) == colour


def test_what_is_no_colour_is_refused() -> None:
    with pytest.raises(JobError, match="reddish"):
        parse_colour("reddish")


def test_every_operation_can_be_asked_for() -> None:
    assert {k.operation for k in CHOICES.values()} == set(Operation) - {Operation.UNPLACED}
