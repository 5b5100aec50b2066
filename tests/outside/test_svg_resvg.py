"""SVG by feature: our lines against resvg 0.48.1's ink (svg_ink.py says how).

One folder of tests/data/svg for each feature; `python -m tests.bench.read_svg_table` prints the table.
"""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.lines import Lines
from tests.outside.svg_ink import compare, features, judge, probes, render
from tests.svg_text import read_text


@pytest.mark.parametrize("feature", features())
def test_lines_lie_on_ink_and_ink_on_lines(feature: str) -> None:
    """Every drawing of a feature agrees with its reference, both ways."""
    off = [f"{path.name}: {said}" for path in probes(feature) for agrees, said in [judge(path)] if not agrees]
    assert not off, "\n".join(off)


def test_there_are_drawings_for_every_feature() -> None:
    """The table would pass with empty folders too."""
    counts = {feature: len(probes(feature)) for feature in features()}
    assert len(counts) >= 12
    assert min(counts.values()) >= 10
    assert sum(counts.values()) >= 400


PROBE = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60"
fill="none" stroke="black" stroke-width="0.4"><path d="M5 5H40V30"/><circle cx="40" cy="45" r="8"/></svg>"""


@pytest.mark.parametrize("move", [(1.0, 0.0), (0.0, -1.0)])
def test_the_comparison_sees_a_shift_of_one_millimetre(move: tuple[float, float]) -> None:
    """A check that cannot fail would be worth nothing."""
    drawing = read_text(PROBE)
    moved = drawing.lines.transform([[1.0, 0.0, move[0]], [0.0, 1.0, move[1]]])
    picture = render(PROBE)
    assert compare(drawing.lines, drawing.page, picture).agrees
    assert not compare(moved, drawing.page, picture).agrees


def test_the_comparison_sees_a_missing_and_an_extra_line() -> None:
    """Both directions are looked at."""
    drawing = read_text(PROBE)
    picture = render(PROBE)
    assert not compare(drawing.lines.take([0]), drawing.page, picture).agrees
    extra = Lines.concat([drawing.lines, Lines.of([np.array([[5.0, 5.0], [20.0, 5.0]])])])
    assert not compare(extra, drawing.page, picture).agrees
