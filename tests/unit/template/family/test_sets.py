"""Sets of pieces that fit: the outer's dimensions follow the inner's, and folding proves it."""

from __future__ import annotations

import itertools
import math
import tomllib
from pathlib import Path

import numpy as np
import pytest

from cutprep.errors import JobError
from cutprep.job.pieces.sets import prove_set
from cutprep.model.findings.finding import Severity, errors
from cutprep.stages.check.inspect import check
from cutprep.tables import Table
from cutprep.template.family.fitting import FittedPiece, fit_set, side_by_side
from cutprep.template.family.pieces import PieceSet, as_toml, changed, example_of, read_set
from cutprep.template.family.ready import READY, ready_set
from cutprep.tolerance import Tolerance


def fitted(name: str, *words: str) -> dict[str, FittedPiece]:
    one = changed(ready_set(name), [tuple(word.split("=")) for word in words])  # type: ignore[misc]
    return {fit.piece.name: fit for fit in fit_set(one)}


def from_text(text: str) -> PieceSet:
    return read_set(Table(tomllib.loads(text), text=text, file="my-set.toml"))


@pytest.mark.parametrize("name", READY)
def test_a_set_is_the_same_when_it_was_saved(name: str) -> None:
    one = changed(ready_set(name), [("caliper", "0.4mm"), ("play", "1/32in")])
    assert from_text(as_toml(one)) == one


@pytest.mark.parametrize(
    ("name", "caliper"),
    [
        *itertools.product(("boxes-in-tray", "box-in-box", "drawer-in-sleeve"), ("0.1mm", "1mm")),
        *itertools.product(
            ("band-round-carton", "cards-in-box", "box-in-bag", "cups-in-tray"), ("0.1mm", "0.6mm")
        ),
    ],
)
def test_every_set_leaves_the_play_that_it_promises(name: str, caliper: str) -> None:
    """The fold check measures inside and outside by its own way, layers of glued tabs included."""
    found = fitted(name, f"caliper={caliper}")
    told = prove_set(list(found.values()))
    assert len(told) == sum(bool(f.piece.takes) + bool(f.piece.stands_in) for f in found.values())
    assert {f.code for f in told} == {"fit"}
    # A millimetre more than promised would be a box that rattles; a tab glued on both sides counts twice.
    for finding in told:
        assert finding.measure is not None
        assert 0.49 <= finding.measure <= 0.5 + 1e-2 + 0.2 * float(caliper.removesuffix("mm"))
    for fit in found.values():
        assert not [f for f in check(fit.drawing, Tolerance()) if f.severity is not Severity.NOTE]


@pytest.mark.parametrize("seed", range(3))
def test_random_sets_fit(seed: int) -> None:
    rng = np.random.default_rng(seed)
    caliper, play = (round(float(v), 2) for v in rng.uniform((0.1, 0.3), (0.8, 1.5)))
    a, b, h = (round(float(v), 1) for v in rng.uniform((50, 40, 30), (120, 90, 60)))
    columns, rows = rng.integers(1, 4, 2).tolist()
    columns += columns * rows == 1
    one = from_text(
        f'caliper = "{caliper}mm"\nplay = "{play}mm"\n'
        f'[[piece]]\nname = "box"\nkind = "tuck-carton"\nlength = "{a}mm"\nwidth = "{b}mm"\nheight = "{h}mm"\n'
        f'[[piece]]\nname = "tray"\nkind = "tray"\ntakes = "box"\ncolumns = {columns}\nrows = {rows}\n'
        '[[piece]]\nname = "drawer"\nkind = "tray"\ntakes = "tray"\n'
        '[[piece]]\nname = "cover"\nkind = "sleeve"\ntakes = "drawer"\n'
    )
    found = fit_set(one)
    told = prove_set(found)
    assert [f.code for f in told] == ["fit"] * 3, [f.problem for f in told]
    assert all(f.measure is not None and f.measure >= play - 0.01 for f in told)
    assert [f.count for f in found] == [columns * rows, 1, 1, 1]


def test_the_arithmetic_is_as_stated() -> None:
    """Six hexagonal cartons, 40 mm flat to flat: corner to corner is 1/cos 30 degrees as much (plain geometry)."""
    found = fitted("boxes-in-tray", "caliper=0.5mm", "play=0.5mm")
    across = 40 + 2 * 0.5
    tray, strip = found["tray"].values, 0.5 + 2 * 0.5
    assert tray["length"] == pytest.approx(3 * across / math.cos(math.pi / 6) + 2 * strip + 1.0, abs=2e-3)
    assert tray["width"] == pytest.approx(2 * across + strip + 1.0 + 2 * 0.5, abs=2e-3)
    divider = found["divider"].values
    assert (divider["columns"], divider["rows"]) == (3, 2)
    assert divider["length"] == pytest.approx(tray["length"] - 1.0)


def test_a_larger_inner_redraws_the_rest() -> None:
    before, after = (
        fitted("drawer-in-sleeve"),
        fitted("drawer-in-sleeve", "drawer.width=70mm", "drawer.length=100mm"),
    )
    assert after["cover"].values["length"] - before["cover"].values["length"] == pytest.approx(10, abs=2e-3)
    assert after["cover"].values["height"] - before["cover"].values["height"] == pytest.approx(10, abs=2e-3)
    assert after["cover"].values["width"] == before["cover"].values["width"]


def test_each_card_has_its_own_caliper() -> None:
    one = from_text(
        as_toml(ready_set("box-in-box")).replace('name = "outer"', 'name = "outer"\nstock = "kraft-280"')
    )
    inner, outer = fit_set(one)
    assert (inner.caliper, outer.caliper) != (outer.caliper, inner.caliper)
    assert not errors(prove_set([inner, outer]))


def test_one_drawing_holds_every_piece_once() -> None:
    one = ready_set("boxes-in-tray")
    found = fit_set(one)
    drawing = side_by_side(one, found)
    assert sum(len(f.drawing.lines) for f in found) == len(drawing.lines)
    assert "6 x carton" in drawing.scale_note
    assert not errors(check(drawing, Tolerance()))


BOX = '[[piece]]\nname = "a"\nkind = "tray"\n'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("title = 'x'\n", "the set has no piece"),
        (BOX + BOX, "two pieces are called 'a'"),
        (BOX.replace('"a"', '"a b"'), "'a b' is not a plain name"),
        (BOX.replace("tray", "trai"), "tray"),
        (BOX + 'takes = "b"\n', "no piece is called 'b'"),
        (BOX + 'takes = "a"\n', "'a' can't go into itself"),
        (BOX + '[[piece]]\nname = "b"\nkind = "swing-tag"\ntakes = "a"\n', "a swing-tag can't be drawn round another"),
        (BOX + 'stands_in = "a"\n', "can't go into itself"),
        (BOX + "length = 30\n[[piece]]\nname = 'b'\nkind = 'tray'\nstands_in = 'a'\n", "a tray stands in no other piece"),
        (BOX + "length = 3.5\n", "length: is 3.5"),
        (BOX + "lenght = '30mm'\n", "lenght: is not a known key.*length"),
        ('play = "1"\n' + BOX, "play"),
        (BOX + "count = 3\n[[piece]]\nname = 'b'\nkind = 'tray'\ntakes = 'a'\n", "the set has 3 of it, and 'b' takes 1"),
        (BOX + "takes = 'b'\n[[piece]]\nname = 'b'\nkind = 'tray'\ntakes = 'a'\n", "into each other in a circle"),
        (BOX + "length = '3mm'\n", "the piece 'a': length is 3 mm; it must be from 10 mm to 1500 mm"),
        (BOX + "stock = 'none-such'\n", "the piece 'a': no stock is called 'none-such'"),
        (
            "[[piece]]\nname='t'\nkind='swing-tag'\n[[piece]]\nname='b'\nkind='tray'\ntakes='t'\n",
            "the piece 'b': how much room a swing-tag takes is not known",
        ),
    ],
)  # fmt: skip
def test_a_bad_set_gets_one_sentence(text: str, words: str) -> None:
    with pytest.raises(JobError, match=words):
        fit_set(from_text(text))


@pytest.mark.parametrize(
    ("word", "words"),
    [
        (("box.length", "3mm"), "the set has no 'box.length'.*inner, outer"),
        (("width", "3mm"), "the set has no 'width'"),
        (("inner.lenth", "3mm"), "has no 'lenth'. Did you mean length"),
        (("inner.count", "none"), "must be a whole number"),
        (("caliper", "thick"), "^caliper: 'thick' is not a length"),
        (("play", "9in"), "^play is 228.6 mm; it must be from 0 mm to 100 mm"),
    ],
)
def test_a_bad_change_gets_one_sentence(word: tuple[str, str], words: str) -> None:
    with pytest.raises(JobError, match=words):
        changed(ready_set("box-in-box"), [word])


def test_a_set_in_inches_has_the_rest_in_eighths() -> None:
    """One dimension of one piece will do; a set in mm is left as it is."""
    one = changed(ready_set("box-in-box"), [("inner.length", "3 1/2in")])
    assert (one.unit, ready_set("box-in-box").unit) == ("in", "mm")
    assert [fit.values["lid"] for fit in fit_set(one)] == pytest.approx([15.875, 15.875])
    assert [fit.values["lid"] for fit in fit_set(ready_set("box-in-box"))] == [15.0, 15.0]


def test_a_set_in_inches_is_refused_in_inches_with_what_would_do() -> None:
    one = changed(ready_set("box-in-box"), [("inner.height", "3/4in"), ("inner.tab", "1in")])
    with pytest.raises(JobError, match=r"the piece .inner.: .* in ") as fault:
        fit_set(one)
    assert "mm" not in fault.value.problem + fault.value.fix
    assert "For example " in fault.value.fix


@pytest.mark.parametrize("name", sorted(READY))
def test_what_is_named_as_an_example_can_be_typed(name: str) -> None:
    one = ready_set(name)
    key, _, value = example_of(one).partition("=")
    assert len(fit_set(changed(one, [(key, value)]))) == len(one.pieces)


def test_a_file_of_hers_names_its_lines(tmp_path: Path) -> None:
    path = tmp_path / "my-set.toml"
    path.write_text('title = "x"\n\n[[piece]]\nname = "a"\nkind = "trey"\n', encoding="utf-8")
    with pytest.raises(JobError) as caught:
        read_set(Table.load(path))
    assert caught.value.place.line == 5


@pytest.mark.parametrize("caliper", ["0.3mm", "1mm"])
@pytest.mark.parametrize(
    ("inner", "outer"),
    [
        ("hinged-box", "sleeve"),
        ("polygon-box", "tray"),
        ("exploding-box", "tray"),
        ("tray", "hinged-box"),
        ("tuck-carton", "hinged-box"),
    ],
)
def test_more_kinds_go_into_one_another(inner: str, outer: str, caliper: str) -> None:
    """Half a millimetre on each side, as promised; a layer that may lie either way can make it more, never less."""
    one = from_text(
        f'title = "x"\ncaliper = "{caliper}"\n[[piece]]\nname = "a"\nkind = "{inner}"\n'
        f'[[piece]]\nname = "b"\nkind = "{outer}"\ntakes = "a"\n'
    )
    (told,) = prove_set(fit_set(one))
    assert told.code == "fit"
    assert told.measure == pytest.approx(0.5, abs=0.01)


def test_a_card_has_its_room_in_an_envelope_and_the_liner_its_margin() -> None:
    """Face in face, as both are folded: half of 4 mm on each side, and 8 mm left and right of the liner."""
    found = fitted("card-in-envelope", "card.width=100mm", "card.height=70mm")
    assert found["envelope"].values["width"] == pytest.approx(100, abs=2e-3)
    assert found["liner"].values["height"] == pytest.approx(70, abs=2e-3)
    card, liner = prove_set(list(found.values()))
    assert card.measure == pytest.approx(2.0, abs=2e-3)
    assert "8.00 mm on each side along its length" in liner.problem


def test_a_band_goes_round_length_and_height_of_a_box() -> None:
    found = fitted("band-round-carton", "caliper=0.4mm")
    d = found["band"].values
    assert (d["length"], d["height"]) == pytest.approx((50 + 0.8 + 1.0, 60 + 0.8 + 1.0), abs=2e-3)


@pytest.mark.parametrize(
    ("kind", "host", "told"),
    [
        ("divider", "cup", "a divider has no place in a cup"),
        ("envelope-liner", "tray", "an envelope-liner has no place in a tray"),
        ("tray", "tray", "a tray stands in no other piece"),
    ],
)
def test_what_can_t_stand_in_a_piece_is_told(kind: str, host: str, told: str) -> None:
    with pytest.raises(JobError, match=told):
        from_text(
            f'[[piece]]\nname = "a"\nkind = "{host}"\n[[piece]]\nname = "b"\nkind = "{kind}"\nstands_in = "a"\n'
        )
