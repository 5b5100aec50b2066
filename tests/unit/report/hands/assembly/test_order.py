"""What is glued, tucked and filled, and in which order: as a person would do it (common practice, no published source)."""

from __future__ import annotations

import itertools
import math
import re

import numpy as np
import pytest

from cutprep import read
from cutprep.model.folded import Verdict
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.report.hands.assembly.order import assembly
from cutprep.report.hands.assembly.way import Do
from cutprep.report.hands.pieces import Piece
from cutprep.report.hands.steps import work_of
from cutprep.template.kinds import KINDS
from tests import nets
from tests.folding import folded
from tests.making import DOC, SAMPLES, made, table, told


def hinged_box(length: float = 80, width: float = 60, height: float = 30, tuck: float = 12) -> nets.Sketch:
    """A tray with tabs on its ends and a lid on its back wall, which tucks into front and ends."""
    s, t = nets.Sketch("hinged box"), 10.0
    x = [0.0, height, height + length, 2 * height + length]
    y = [
        0.0,
        height,
        height + width,
        2 * height + width,
        2 * height + 2 * width,
        2 * height + 2 * width + tuck,
    ]
    right = [
        (x[1], y[0]), (x[2], y[0]), (x[2], y[1]), (x[2] + 2, y[1] - t), (x[3] - 2, y[1] - t), (x[3], y[1]),
        (x[3], y[2]), (x[3] - 2, y[2] + t), (x[2] + 2, y[2] + t), (x[2], y[2]), (x[2], y[3]),
        (x[2] + t, y[3] + 2), (x[2] + t, y[4] - 2), (x[2], y[4]), (x[2] - 3, y[5]),
    ]  # fmt: skip
    middle = x[1] + x[2]
    s.ring(*right, *((middle - a, b) for a, b in reversed(right[1:])))
    for at in (y[1], y[2]):
        for a, b in itertools.pairwise(x):
            s.score((a, at), (b, at))
    for at in (y[3], y[4]):
        s.score((x[1], at), (x[2], at))
    for at in (x[1], x[2]):
        s.score((at, y[1]), (at, y[2])).score((at, y[3]), (at, y[4]))
    return s


def texts(sketch: nets.Sketch) -> list[str]:
    return [step.text for step in assembly(folded(sketch)).steps]


@pytest.mark.parametrize("name", ["tuck-carton", "prism-carton", "gathered-box", "envelope", "pillow-box"])
def test_nothing_is_closed_before_it_is_filled_and_no_lid_is_glued(name: str) -> None:
    steps = [step for work in made(KINDS[name].from_values())[0] for step in work.built.steps]
    fill = [i for i, step in enumerate(steps) if step.do is Do.FILL]
    assert len(fill) == 1
    glued = [i for i, step in enumerate(steps) if step.do is Do.GLUE]
    assert max(glued) < fill[0], "gluing comes before filling"
    assert fill[0] < len(steps) - 1, "something closes it afterwards"


def test_a_lid_on_a_hinge_is_tucked_and_never_glued() -> None:
    steps = texts(hinged_box())
    assert len(steps) == 4
    assert "glue" in steps[1]
    assert steps[1].count("inside wall") == 2
    assert steps[2] == "Put in what belongs inside."
    assert steps[3].startswith("Fold lid B over and tuck flap")
    assert steps[3].endswith("without glue, so that it opens again.")


def test_a_tuck_end_carton_is_glued_at_its_seam_only() -> None:
    steps = told(KINDS["tuck-carton"].from_values())
    assert [("glue flap" in s) for s in steps] == [True, False, False, False, False, False]
    assert "dust flaps J and L in first" in steps[1]
    assert "tuck flap H inside wall B" in steps[2]
    assert steps[3] == "Put in what belongs inside."
    assert "dust flaps K and M in first" in steps[4]
    assert "tuck flap I inside wall B" in steps[5]


def test_base_flaps_are_glued_and_lid_flaps_tucked_each_at_its_own_end() -> None:
    seam, base, _, lid = told(KINDS["prism-carton"].from_values())
    assert "glue flap I inside wall" in seam
    assert re.search(
        r"base A .* glue its 5 flaps inside the walls they meet \((\w in \w, ){3}\w in \w and \w in \w\)",
        base,
    )
    assert re.search(r"cover B over and tuck its 5 flaps inside .*, without glue", lid)


def test_a_gathered_box_of_four_has_four_folded_corners() -> None:
    last = told(KINDS["gathered-box"].from_values())[-1]
    assert "the 4 folded corners" in last
    assert "ribbon" in last


def test_an_envelope_is_glued_at_its_bottom_flap_and_closed_last() -> None:
    sides, bottom, _, top = told(KINDS["envelope"].from_values())
    assert "side flaps D and E" in sides
    assert "not glued" in sides
    assert "glue on D and E where B will lie" in bottom
    assert "Fold C over to close it" in top


def test_a_pillow_box_is_glued_flat_and_closed_by_its_curved_ends() -> None:
    steps = told(KINDS["pillow-box"].from_values())
    assert "fold one by hand" in steps[0]
    assert "glue flap G inside the free edge of A, while it all lies flat" in steps[1]
    assert "push C and E in at one end" in steps[2]
    assert "Push D and F in at the other end" in steps[4]


def test_a_sleeve_stays_open() -> None:
    assert "open at both ends" in told(KINDS["sleeve"].from_values())[-1]
    assert not any("Put in" in step for step in told(KINDS["band"].from_values()))


def test_corner_tabs_go_inside_the_walls_they_meet() -> None:
    steps = told(read(SAMPLES / "display-tray.svg"))
    assert "flaps F and H inside wall B and flaps G and I inside wall C" in steps[-1]


def test_pieces_come_together() -> None:
    assert "push the 2 of piece 2 down over it" in told(read(SAMPLES / "divider.svg"))[-1]
    works, joined = made(KINDS["tray-with-lid"].from_values())
    assert [w.title for w in works] == ["piece 1, the tray", "piece 2, the lid"]
    assert [s.text for s in joined] == ["Fill the tray and slip the lid over it; nothing is glued."]


def test_nets_without_glue_flaps_are_taped() -> None:
    assert all("glue flap" not in s or "no glue flap" in s for s in texts(nets.net_of("cube", 40)))
    assert "tape" in texts(nets.open_cube())[0]
    assert len(texts(nets.net_of("icosahedron", 40))) == 1


def test_turned_in_walls_come_after_the_flaps_they_cover() -> None:
    steps = texts(nets.double_walled_tray())
    assert [s.split()[1] for s in steps] == ["flaps", "up", "strip", "strip"]


def test_what_does_not_close_is_said_to_be_unknown() -> None:
    drawing = nets.tray(wall=30).drawing()
    works, _ = made(drawing)
    assert works[0].piece.report is not None
    assert works[0].piece.report.verdict is Verdict.OPEN_BOX
    open_end = nets.Sketch("strip").ring((0, 0), (60, 0), (60, 20), (0, 20)).score((20, 0), (20, 20))
    steps = [s.text for w in made(open_end.drawing())[0] for s in w.steps]
    assert not any("glue" in s for s in steps if "no part of it is glued" not in s)


@pytest.mark.parametrize("name", sorted(KINDS))
def test_a_step_is_one_sentence_and_its_picture_has_every_fold(name: str) -> None:
    for work in made(KINDS[name].from_values())[0]:
        for step in work.steps:
            assert re.fullmatch(r"[A-Z]((?![.!?] [A-Z]).)*\.", step.text), step.text
            report = work.piece.report
            assert not step.folded or (report is not None and len(step.folded) == len(report.hinges))


def test_the_table_in_the_docs_is_what_is_told() -> None:
    """`python -m tests.making` prints it anew."""
    assert table() in DOC.read_text(encoding="utf-8")


#: What a step says, but for what it denies, to what hands do in it; the first that is found.
_SAID = {
    "put in what": Do.FILL,
    "sticker": Do.STICKER,
    "tie them": Do.TIE,
    "tape": Do.TAPE,
    "tuck": Do.TUCK,
    "glue": Do.GLUE,
}
_DENIED = re.compile(r"without glue|not glued|nothing is glued|no glue flaps?|no part of it is glued")


#: How a step before the folding begins, to what hands do in it.
_BEFORE = (
    (r"Cut (a blank|\d+ blanks)", Do.BLANK),
    (r"(Score|Perforate) lines?", Do.SCORE),
    (r"Cut the (\d+ )?(openings?|slits?) inside", Do.OPENINGS),
    (r"Cut out along", Do.OUTLINE),
    (r"Fold scores?", Do.CREASE),
)


@pytest.mark.parametrize("name", sorted(KINDS))
def test_a_step_is_of_the_kind_that_its_words_say(name: str) -> None:
    """The class sheet lists the tools by it."""
    for work in made(KINDS[name].from_values())[0]:
        for step in work.prepared:
            begun = [do for words, do in _BEFORE if re.match(words, step.text)]
            assert begun == [step.do], step.text
        for step in work.built.steps:
            words = _DENIED.sub("", step.text).lower()
            said = next((do for word, do in _SAID.items() if word in words), None)
            assert step.do is said or (said is None and step.do in {Do.FOLD, Do.TUCK}), step.text


@pytest.mark.parametrize("name", sorted(KINDS))
def test_the_picture_of_a_step_lights_what_its_sentence_names(name: str) -> None:
    """Every panel that is lit has its letter there, but for corners that fold in without one."""
    for work in made(KINDS[name].from_values())[0]:
        if work.piece.report is None:
            continue
        letters = {k: panel.name for k, panel in enumerate(work.piece.report.panels)}
        for step in work.built.steps:
            named = set(re.findall(r"\b[A-Z]\b", step.text))
            lit = {letters[k] for k in step.lit}
            assert bool(lit) == (step.do is not Do.FILL), step.text
            if named:
                assert lit & named, step.text
                assert lit <= named or "folded corners" in step.text, step.text


def test_the_bottom_of_a_bag_is_folded_in_from_inside_out_and_glued() -> None:
    """Gussets first, then the panel that lies under, then the one on top; each fold is made by then and not before."""
    (work,), _ = made(KINDS["gusseted-bag"].from_values())
    report = work.piece.report
    assert report is not None
    seam, *bottom = work.built.steps
    assert [(step.do, step.text) for step in bottom] == [
        (Do.FOLD, "Fold J, K, L and M in."),
        (Do.GLUE, "Fold G in over them and glue it down."),
        (Do.GLUE, "Fold H over the others and glue it down."),
    ]
    for before, step in itertools.pairwise((seam, *bottom)):
        for k, hinge in enumerate(report.hinges):
            mine = {hinge.a, hinge.b} & set(step.lit)
            assert step.folded[k] == (1.0 if mine or before.folded[k] else 0.0)


def test_of_two_flaps_as_large_the_upper_one_closes_an_envelope() -> None:
    """The lower one is glued; drawn the other way up it is still the upper one."""
    for up in (1, -1):
        points = [
            (0, 0), (10, -55), (110, -55), (120, 0), (150, 10), (150, 70), (120, 80), (110, 135), (10, 135), (0, 80),
            (-30, 70), (-30, 10),
        ]  # fmt: skip
        s = nets.Sketch("envelope").ring(*((x, up * y) for x, y in points))
        for a, b in (((0, 0), (120, 0)), ((120, 0), (120, 80)), ((120, 80), (0, 80)), ((0, 80), (0, 0))):
            s.score((a[0], up * a[1]), (b[0], up * b[1]))
        report = folded(s)
        steps = assembly(report).steps
        assert [step.do for step in steps] == [Do.FOLD, Do.GLUE, Do.FILL, Do.STICKER]
        (closing,) = steps[-1].lit
        heights = sorted(panel.inner_point[1] for panel in report.panels)
        assert report.panels[closing].inner_point[1] == heights[-1]


@pytest.mark.parametrize("name", ["cup", "tuck-carton"])
@pytest.mark.parametrize("degrees", [90, 205])
def test_a_drawing_may_lie_anywhere_and_any_way_round(name: str, degrees: float) -> None:
    """The steps are the same; of two ends alike the lower one is closed first, or the left one where both lie level."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    drawing = KINDS[name].from_values()
    turned = drawing.with_lines(drawing.lines.transform(np.array([[c, -s, 900.0], [s, c, -400.0]])))
    (plain,), (work,) = made(drawing)[0], made(turned)[0]
    assert [step.do for step in work.built.steps] == [step.do for step in plain.built.steps]
    covers = re.findall(r"cover (\w)", " ".join(step.text for step in work.built.steps))
    if covers:
        assert work.piece.report is not None
        at = {panel.name: panel.inner_point for panel in work.piece.report.panels}
        first, second = (at[letter] for letter in covers)
        assert first[0] < second[0] if degrees == 90 else first[1] < second[1]


def test_slits_from_the_edge_and_inside_are_told_apart() -> None:
    """A blank for a tray whose corner tabs are slit free, with a slot for a ribbon in its base."""
    outline = [(0, 0), (150, 0), (150, 110), (0, 110), (0, 0)]
    slits = [[(x, y), (x + 25, y)] for x in (0, 125) for y in (25, 85)]
    lines = Lines.of([outline, *slits, [(60, 55), (90, 55)]], operation=[Operation.CUT] * 6)
    told = [step.text for step in work_of(Piece("tray", lines), "tray", 0.1).prepared]
    assert told[1:3] == [
        "Cut the slit inside along a ruler.",
        "Cut the 4 slits in from the edge along a ruler.",
    ]
