"""A report tells of the drawing, not of the pose it was folded in."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.model.drawing import Drawing
from cutprep.model.folded import FoldReport
from cutprep.stages.fold.plan import fold
from tests.bench.fold_kinds import make
from tests.folding import TOLERANCE, folded
from tests.kinds.draw import Manner, drawn
from tests.nets import tray, tuck_end


def _drawing(kind: str, turn: float, mirror: bool) -> Drawing:
    net, _ = make(kind, 88123)
    return drawn(net.strokes(), Manner(turn=turn, mirror=mirror), np.random.default_rng(1), kind)


@pytest.mark.parametrize(("turn", "mirror"), [(0.0, False), (31.0, False), (90.0, True), (203.0, True)])
def test_panels_and_hinges_lie_in_the_drawing(turn: float, mirror: bool) -> None:
    drawing = _drawing("tray, doubled partition", turn, mirror)
    (report,) = fold(drawing, tolerance=TOLERANCE)
    ends = {tuple(p) for p in drawing.lines.xy.round(6).tolist()}
    for panel in report.panels:
        ring = shapely.LinearRing(panel.outline)
        assert ring.is_ccw
        assert shapely.Polygon(ring).contains(shapely.Point(panel.inner_point))
        assert {tuple(p) for p in panel.outline.round(6).tolist()} <= ends
    for hinge in report.hinges:
        assert hinge.a < hinge.b
        assert _left_of(report, hinge.b, hinge.ends)
        assert not _left_of(report, hinge.a, hinge.ends)


def _left_of(report: FoldReport, panel: int, ends: np.ndarray) -> bool:  # type: ignore[type-arg]
    """Whether a panel lies left of a run, just beside its middle."""
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    spot = ends.mean(axis=0) + 0.2 * np.array([-along[1], along[0]])
    return bool(shapely.Polygon(report.panels[panel].outline).contains(shapely.Point(spot)))


def test_equal_panels_are_named_from_left_to_right() -> None:
    """As they lie before the maker; not as they happen to lie while folding is worked out."""
    for report in (folded(tray()), folded(tuck_end())):
        rank = [
            (
                -round(shapely.Polygon(p.outline).area, 3),
                *np.round(shapely.Polygon(p.outline).centroid.coords[0], 2),
            )
            for p in report.panels
        ]
        assert rank == sorted(rank)
        assert [p.name for p in report.panels] == [chr(ord("A") + k) for k in range(len(rank))]


def test_findings_and_the_room_turn_back() -> None:
    """A finding points at its place on the sheet, and "up" leads from the base as it lies there."""
    straight, turned = (
        fold(_drawing("tray, doubled partition", *how), tolerance=TOLERANCE)[0]
        for how in ((0.0, False), (90.0, False))
    )
    assert turned.up == pytest.approx((-straight.up[1], straight.up[0], straight.up[2]), abs=1e-6)
    for one, two in zip(straight.messages, turned.messages, strict=True):
        spots = [(-p.xy[1], p.xy[0]) for p in one.places if p.xy]
        assert sorted(spots) == pytest.approx(sorted(p.xy for p in two.places if p.xy))
