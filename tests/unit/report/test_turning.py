"""What the job sheet says of a sheet that is scored from the back first."""

from __future__ import annotations

import re
from types import SimpleNamespace as Plain
from typing import Any

import numpy as np
import pytest

from cutprep.report.turning import turning_picture, turning_steps

_CARD = r'<rect class="[\w-]+" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"/>'


def sheet(way: str, marks: list[list[float]], **more: Any) -> Any:
    """A sheet of 300 x 200 mm: a file from the back, and two from the front, of a knife and a stylus."""
    files = [
        Plain(name=name, side=side, tool=tool, duration=Plain(total=60.0))
        for name, side, tool in (
            ("back.hpgl", "back", "stylus"), ("front-1.hpgl", "front", "stylus"), ("front-2.hpgl", "front", "knife")
        )
    ]  # fmt: skip
    back = Plain(way=way, marks=np.array(marks).reshape(-1, 2), done=False)
    return Plain(
        **{"back": back, "files": files, "runs": 1, "sheet": Plain(width=300.0, height=200.0), **more}
    )


@pytest.mark.parametrize(
    ("way", "front", "laid", "far", "comes", "stays"),
    [
        ("sideways", "left", "right", "300.0 mm", "to the left", "lower"),
        ("endways", "lower", "upper", "200.0 mm", "below", "left"),
    ],
)
def test_a_card_turned_by_its_edges(
    way: str, front: str, laid: str, far: str, comes: str, stays: str
) -> None:
    lay, run, turn, stylus, knife, otherwise = turning_steps(sheet(way, []), "mm")
    assert "300.0 mm x 200.0 mm" in lay
    assert f"Mark the {front} edge" in lay
    assert f"as the {laid} one, {far} from" in lay
    assert f"the {stays} edge where it always lies" in lay
    assert run.startswith("Run back.hpgl (")
    assert f"comes {comes}. Lay it by the marked edge and the {stays} one" in turn
    assert stylus.startswith("Put in the stylus and run front-1.hpgl (")
    assert knife.startswith("Put in the knife and run front-2.hpgl (")
    assert "--align for each corner, such as --align 0mm,0mm=X,Y" in otherwise


def test_a_card_turned_by_crosses_says_where_each_lies_and_what_to_do_elsewhere() -> None:
    lay, _, turn, *_, otherwise = turning_steps(sheet("sideways", [[5, 6], [295, 194.5]]), "mm")
    assert "its right edge, the heavy one, is the left one of the front" in lay
    assert "cross 1: 5mm,6mm; cross 2: 295mm,194.5mm." in turn
    assert "--align for each cross, such as --align 5mm,6mm=X,Y" in otherwise


def test_each_card_of_several_is_done_before_the_next_and_a_back_that_is_done_is_not_run_again() -> None:
    assert turning_steps(sheet("sideways", [], runs=3), "mm")[0].startswith("Do all of this with one card")
    done = sheet("sideways", [])
    done.back.done = True
    first, *rest = turning_steps(done, "mm")
    assert first.startswith("What is scored from the back was run before")
    assert [step.split(" and run ")[-1].split()[0] for step in rest] == ["front-1.hpgl", "front-2.hpgl"]
    assert turning_steps(sheet("sideways", [], back=None), "mm") == ()


def test_the_heavy_edge_of_the_picture_is_the_one_that_is_told() -> None:
    """Back and front side by side; crosses where the front has them."""
    bar = r'<path class="first"[^>]* d="M([\d.]+) ([\d.]+)([hv])([\d.]+)"/>'
    for way, edges in (("sideways", ("right", "left")), ("endways", ("upper", "lower"))):
        svg = turning_picture(sheet(way, [[10, 20]]).back, 300.0, 200.0)
        for edge, rect, line in zip(edges, _found(_CARD, svg), _found(bar, svg), strict=True):
            x, y, w, h = map(float, rect)
            at = {
                "left": (x, y, "v", h),
                "right": (x + w, y, "v", h),
                "upper": (x, y, "h", w),
                "lower": (x, y + h, "h", w),
            }
            assert (float(line[0]), float(line[1]), line[2], float(line[3])) == pytest.approx(
                at[edge], abs=0.011
            )
        assert svg.count("h2m-1 -1v2") == 2


def _found(pattern: str, text: str) -> list[tuple[str, ...]]:

    return re.findall(pattern, text)


@pytest.mark.parametrize(("way", "over"), [("sideways", 0), ("endways", 1)])
def test_the_arrow_lies_in_the_middle_between_the_cards(way: str, over: int) -> None:
    """It bows over from side to side, or from above to below."""
    svg = turning_picture(sheet(way, []).back, 300.0, 200.0)
    numbers = r"M([\d.]+) ([\d.]+)q([\d.-]+) ([\d.-]+) ([\d.-]+) ([\d.-]+)m"
    ((x, y, *bend),) = _found(rf'class="arrow"[^>]* d="{numbers}', svg)
    start, (pull, end) = np.array([float(x), float(y)]), np.array(bend, float).reshape(2, 2)
    bow = start + 0.5 * pull + 0.25 * end  # a quadratic curve at half of its parameter
    (left, _, w, _), (right, *_) = ([float(v) for v in row] for row in _found(_CARD, svg))
    between = (left + w + right) / 2
    assert (min(start[0], bow[0]) + max(start[0] + end[0], bow[0])) / 2 == pytest.approx(between, abs=1.01)
    assert np.flatnonzero(end).tolist() == [over]
