"""Any outlines, any gap: layouts are right, complete, and never worse than the grid."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutprep.geometry.affine import apply
from cutprep.model.lines import Points
from cutprep.model.part import Template
from cutprep.model.sheet import Sheet
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.layout.pattern_runs import grid_layout
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.solver import solver_of
from cutprep.stages.nest.plan import nest
from tests.unit.stages.nest.specimens import sheet_size, sheets_in, template

_FEW = settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck))


@st.composite
def outlines(draw: st.DrawFn) -> Points:
    """Star-shaped polygons of 3 to 9 corners, 10 to 90 mm across, dented or not."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(8, 45), min_size=count, max_size=count))
    offsets = draw(st.lists(st.floats(0.1, 0.9), min_size=count, max_size=count))
    angles = (np.arange(count) + np.array(offsets)) * 2 * np.pi / count
    return np.column_stack((np.cos(angles), np.sin(angles))) * np.array(radii)[:, None]


def _solids(sheet: Sheet) -> list[shapely.Polygon]:
    """Outlines on the sheet, straight from the template's own points."""
    return [
        shapely.Polygon(apply(p.matrix, sheet.templates[p.template].lines.points(0)))
        for p in sheet.placements
    ]


def _check(sheets: tuple[Sheet, ...], demands: list[Demand], margin: float, gap: float) -> None:
    """Every pair, one by one: nothing here is shared with the proof in the nest."""
    for sheet in sheets:
        solids = _solids(sheet)
        usable = shapely.box(margin, margin, sheet.width - margin, sheet.height - margin).buffer(1e-6)
        assert all(usable.covers(solid) for solid in solids)
        for i, one in enumerate(solids):
            for other in solids[:i]:
                assert one.distance(other) >= gap - 1e-6
                assert one.intersection(other).area <= 1e-6
    placed = [p for sheet in sheets for _ in range(sheet.runs) for p in sheet.placements]
    templates = sheets[0].templates
    for demand in demands:
        assert sum(templates[p.template] is demand.template for p in placed) == demand.copies
    # A sheet that is run several times is drawn once, with the numbers of its first run.
    numbers = [p.copy for sheet in sheets for p in sheet.placements]
    assert len(set(numbers)) == len(numbers)
    assert set(numbers) <= set(range(1, len(placed) + 1))


def _grid_sheets(demands: list[Demand], margin: float, gap: float) -> int:
    problem = problem_of(demands, [sheet_size(148, 210)], Nesting(margin=margin, gap=gap, effort="quick"))
    return grid_layout(solver_of(problem)).sheets


@_FEW
@given(
    outline=outlines(),
    copies=st.integers(1, 25),
    gap=st.sampled_from([0.0, 0.5, 3.0]),
    turns=st.sampled_from(["never", "half", "quarter", "free"]),
)
def test_one_template(outline: Points, copies: int, gap: float, turns: str) -> None:
    """Right and complete, with no more sheets than the grid."""
    demands = [Demand(template("any", outline), copies, turns)]  # type: ignore[arg-type]
    sheets = nest(demands, [sheet_size(148, 210)], Nesting(margin=5.0, gap=gap, effort="quick"))
    _check(sheets, demands, 5.0, gap)
    assert sheets_in(sheets) <= _grid_sheets(demands, 5.0, gap)


@_FEW
@given(
    shapes=st.lists(outlines(), min_size=2, max_size=3),
    copies=st.lists(st.integers(1, 5), min_size=3, max_size=3),
    mirror=st.booleans(),
)
def test_a_mix_in_any_order(shapes: list[Points], copies: list[int], mirror: bool) -> None:
    """The order in which templates are named changes nothing about validity."""
    templates: list[Template] = [template(f"any {k}", shape) for k, shape in enumerate(shapes)]
    demands = [Demand(t, n, mirror=mirror) for t, n in zip(templates, copies, strict=False)]
    for order in (demands, demands[::-1]):
        sheets = nest(order, [sheet_size(148, 210)], Nesting(margin=4.0, gap=2.0, effort="quick"))
        _check(sheets, order, 4.0, 2.0)
        assert sheets_in(sheets) <= _grid_sheets(order, 4.0, 2.0)
