"""Sixty published nets of convex solids fold back to their solids.

Source: A. Hume, "Exact descriptions of regular and semi-regular polyhedra and their duals",
Computing Science Technical Report 130, AT&T Bell Laboratories 1986 (Netlib, directory
polyhedra), by way of the data of the R package Rpolyhedra (MIT licence): regular, semi-regular,
Catalan and Johnson solids. The published coordinates have some six digits, so volumes are
compared to 5e-4. tests/data/nets/published.json holds the nets with one edge 25 mm; volumes are
those of the corners' convex hull. One net, called triaugmented truncated dodecahedron, has its caps
on faces side by side, so that two triangles meet in a valley of 11.3 degrees: it fills its hull to 0.03 %.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from cutprep.model.drawing import Drawing
from cutprep.model.folded import Verdict
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance

DATA = Path(__file__).parents[1] / "data" / "nets" / "published.json"
NETS: list[dict[str, Any]] = json.loads(DATA.read_text(encoding="utf-8"))["nets"]


def drawing_of(net: dict[str, Any]) -> Drawing:
    xy = np.array(net["xy"]) * (1, -1)
    runs = [xy[pair] for pair in (*net["cut"], *net["score"])]
    kinds = [Operation.CUT] * len(net["cut"]) + [Operation.SCORE] * len(net["score"])
    elements = (Element(layer="cut"), Element(layer="score"))
    source = [int(kind is Operation.SCORE) for kind in kinds]
    return Drawing(net["name"], Lines.of(runs, operation=kinds, source=source, elements=elements))


@pytest.mark.parametrize("net", NETS, ids=[net["name"] for net in NETS])
def test_a_published_net_folds_to_its_solid(net: dict[str, Any]) -> None:
    (report,) = fold(drawing_of(net), tolerance=Tolerance())
    assert report.verdict is Verdict.CLOSED
    assert report.ok
    assert len(report.panels) == net["faces"]
    area = sum(shapely.Polygon(p.outline).area for p in report.panels)
    assert area == pytest.approx(net["area_mm2"], rel=5e-4)
    assert report.volume_mm3 == pytest.approx(net["volume_mm3"], rel=5e-4)


def test_they_are_the_sixty() -> None:
    assert len({n["name"] for n in NETS}) == 60


def test_a_valley_where_pieces_meet_is_kept() -> None:
    """Johnson, Convex polyhedra with regular faces (1966): a truncated dodecahedron and three cupolas."""
    (net,) = [n for n in NETS if n["name"].endswith("-j71")]
    (report,) = fold(drawing_of(net), tolerance=Tolerance())
    root = 5**0.5
    body, cap = 5 / 12 * (99 + 47 * root), (5 + 4 * root) / 6
    assert report.volume_mm3 == pytest.approx(25.0**3 * (body + 3 * cap), rel=1e-5)
    assert 3.0 < report.concavity < 5.0
