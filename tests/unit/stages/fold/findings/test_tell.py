"""Which panel is blamed for sides that are not equally long."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import Place
from cutprep.model.folded import Mate
from cutprep.stages.fold.findings.tell import side_findings
from tests.folding import TOLERANCE, folded
from tests.nets import hex_prism


def _shorter(mate: Mate, panel: int, by: float) -> Mate:
    """The same seam, with one panel's side drawn shorter."""
    side = "side_a" if mate.panel_a == panel else "side_b"
    first, last = getattr(mate, side)
    along = (last - first) / np.hypot(*(last - first))
    return replace(mate, **{side: np.array([first, last - by * along])})


@pytest.mark.parametrize("name", ["C", "D", "F", "G", "H"])  # the ends A and B hang on E
def test_of_two_panels_that_disagree_the_one_with_fewer_seams_is_blamed(name: str) -> None:
    """A wall of a hexagonal carton 2 mm too narrow at one end: the wall is named, not the end that fits five others."""
    carton = folded(hex_prism())
    wall = next(k for k, panel in enumerate(carton.panels) if panel.name == name)
    mates = [_shorter(m, wall, 2.0) if {m.panel_a, m.panel_b} == {0, wall} else m for m in carton.mates]
    found = side_findings(mates, TOLERANCE.gap, carton.panels, lambda xy: Place(xy=tuple(xy)))
    assert [f.problem for f in found] == [
        f"a side of panel {name} is 2.00 mm shorter than what they meet (A)"
    ]
    assert len(found[0].places) == 1


def test_a_panel_that_all_others_disagree_with_is_blamed_once() -> None:
    """The end of the carton 2 mm too wide all round: one finding on the end, not one on each wall that it meets."""
    carton = folded(hex_prism())
    walls = [k for k, panel in enumerate(carton.panels) if panel.name in "CDFGH"]
    mates = list(carton.mates)
    for wall in walls:
        mates = [_shorter(m, wall, 2.0) if {m.panel_a, m.panel_b} == {0, wall} else m for m in mates]
    (found,) = side_findings(mates, TOLERANCE.gap, carton.panels, lambda xy: Place(xy=tuple(xy)))
    assert found.problem.startswith("5 sides of panel A are 2.00 mm longer than what they meet (")
    assert found.fix == "Make panel A 2.00 mm smaller there, or the others larger."
    assert len(found.places) == 5
