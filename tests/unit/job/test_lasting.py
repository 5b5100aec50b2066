"""A written drawing places its lines by itself, whatever its layers are called and whatever rules placed them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.cli.drawings import write_drawing
from cutprep.job.lasting import with_lasting_layers
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Fold, Operation
from cutprep.model.rules import Rules
from cutprep.stages.classify import classify
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.drawn import box

KINDS = [
    *((operation, Fold.UNSAID) for operation in Operation),
    *((op, fold) for op in (Operation.SCORE, Operation.PERFORATE) for fold in (Fold.MOUNTAIN, Fold.VALLEY)),
]
#: Names that say nothing, the right thing, the wrong thing, two things, no; and such as files choke on.
NAMES = [
    "", "lid", "cut", "fold lines", "cut or score", "don't cut", "not scored", "outer/cut", "cut/outer", "half",
    "half/line", "0", "Schnitt ä", "日本", 'a<b>&"c"', "lid; rm -rf", "c:\\cut", "x" * 300, "  ", "1 - 2", "cut\x01s",
]  # fmt: skip


def drawn(*rows: tuple[str, str, str, Operation, Fold]) -> Drawing:
    """Boxes beside each other, each with layer, label, id, operation and fold."""
    elements = tuple(
        Element(file="a.svg", line=1, tag="path", layer=layer, label=label, ident=ident)
        for layer, label, ident, _, _ in rows
    )
    lines = Lines.of(
        [box(20 * i, 0, 10, 10 + i) for i in range(len(rows))],
        operation=[int(row[3]) for row in rows],
        fold=[int(row[4]) for row in rows],
        source=list(range(len(rows))),
        elements=elements,
    )
    return Drawing("a", lines, page=(20.0 * len(rows), 60.0))


def read_again(drawing: Drawing, path: Path) -> Drawing:
    write_drawing(drawing, path, replace=True)
    return classify(read(path, tolerance=Tolerance()), Rules())


def kinds(drawing: Drawing) -> list[tuple[float, int, int]]:
    """Operation and fold of each line, by its place."""
    lines = drawing.lines
    left = [float(lines.points(i)[:, 0].min()) for i in range(len(lines))]
    return sorted(zip(np.round(left, 3).tolist(), lines.operation.tolist(), lines.fold.tolist(), strict=True))


@pytest.mark.parametrize("ending", [".svg", ".dxf"])
def test_every_name_with_every_operation(tmp_path: Path, ending: str) -> None:
    """The names lie in layers, in labels and in ids."""
    for place in range(3):
        rows = []
        for name in NAMES:
            own = ["lid", "lid", "lid"]
            own[place] = name
            rows += [(*own, operation, fold) for operation, fold in KINDS]
        drawing = drawn(*rows)  # type: ignore[arg-type]
        assert kinds(read_again(drawing, tmp_path / f"a{ending}")) == kinds(drawing)


@settings(max_examples=30)
@given(
    st.lists(
        st.tuples(*[st.one_of(st.sampled_from(NAMES), st.text(max_size=12))] * 3, st.sampled_from(KINDS)),
        min_size=1,
        max_size=4,
    ),
    st.sampled_from([".svg", ".dxf"]),
)
def test_any_names(
    tmp_path_factory: pytest.TempPathFactory,
    rows: list[tuple[str, str, str, tuple[Operation, Fold]]],
    ending: str,
) -> None:
    drawing = drawn(*((layer, label, ident, *kind) for layer, label, ident, kind in rows))
    path = tmp_path_factory.mktemp("lasting") / f"a{ending}"
    assert kinds(read_again(drawing, path)) == kinds(drawing)


@pytest.mark.parametrize("ending", [".svg", ".dxf"])
def test_names_that_say_it_are_kept(ending: str) -> None:
    drawing = drawn(
        ("cut lines", "", "", Operation.CUT, Fold.UNSAID),
        ("lid", "", "", Operation.CUT, Fold.UNSAID),
        ("lid", "", "", Operation.SCORE, Fold.VALLEY),
        ("fold or cut", "", "", Operation.SCORE, Fold.UNSAID),
    )
    made = with_lasting_layers(drawing, ending)
    names = [line.layer for line in made.lines]
    lid = {
        ".svg": ["lid/cut", "lid/score valley", "fold or cut/score"],
        ".dxf": ["lid - cut", "lid - score valley", "score"],
    }
    assert names == ["cut lines", *lid[ending]]
