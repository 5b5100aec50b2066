"""Layers of card at a panel's ends: what bulges, by how much, and when nothing does.

Wanted figures: one caliper for each layer beyond the one that a fold takes up, half a caliper
where a wall turned in runs against another (plain geometry).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from cutprep.model.drawing import Drawing
from cutprep.model.duties import Duty
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import FoldReport
from cutprep.stages.fold.plan import fold
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance
from tests.kinds.cartons import seal_full, snap_lock
from tests.kinds.draw import Manner, Net, drawn
from tests.kinds.trays import hinged_lid, rolled_plain
from tests.nets import Sketch

#: The thinnest and the thickest card that a template is asked for in: a bulge grows with the caliper, a lack of room too.
CALIPERS = (0.2, 1.0)


def reports(drawing: Drawing, caliper: float) -> tuple[FoldReport, ...]:
    return fold(drawing, thickness=caliper, tolerance=Tolerance())


def bulges(drawing: Drawing, caliper: float) -> tuple[Finding, ...]:
    return tuple(m for r in reports(drawing, caliper) for m in r.found("layers-bulge"))


def plainly(make: Callable[[Any], tuple[Net, Any]], seed: int = 3) -> Drawing:
    net, _ = make(np.random.default_rng(seed))
    return drawn(net.strokes(), Manner(), np.random.default_rng(0), "net")


def sealed(back: float = 0.0, width: float = 80, depth: float = 40, height: float = 120) -> Sketch:
    """A carton sealed by full flaps at both ends; the scores of the small ones set back."""
    s = Sketch("sealed carton")
    x = [0, width, width + depth, 2 * width + depth, 2 * (width + depth)]
    for k in range(1, 5):
        s.score((x[k], 0), (x[k], height))
    s.cut((0, 0), (0, height))
    s.cut((x[4], 0), (x[4] + 12, 5), (x[4] + 12, height - 5), (x[4], height))
    for y, up in ((0.0, -1), (height, 1)):
        for k in range(4):
            low = y - up * (back if k % 2 else 0.0)
            reach = y + up * (depth - 2.0)
            s.score((x[k], low), (x[k + 1], low))
            s.cut((x[k], y), (x[k], low), (x[k], reach), (x[k + 1], reach), (x[k + 1], low))
    return s


@pytest.mark.parametrize("caliper", [0.42, 0.6, 1.0])
def test_flaps_under_two_others_bulge_their_walls_by_a_caliper_at_each_end(caliper: float) -> None:
    (told,) = bulges(plainly(seal_full), caliper)
    assert told.measure == pytest.approx(2 * caliper, abs=1e-6)
    assert f"bulge {2 * caliper:.1f} mm each" in told.problem
    assert f"{caliper:.1f} mm at " in told.fix
    assert len(told.places) == 2  # both narrow walls


@pytest.mark.parametrize("caliper", [0.42, 1.0])
def test_scores_set_back_by_the_layers_leave_nothing_to_tell(caliper: float) -> None:
    assert bulges(sealed().drawing(), caliper)
    assert not bulges(sealed(back=caliper).drawing(), caliper)


@pytest.mark.parametrize("caliper", [0.42, 0.6, 1.0])
def test_a_tuck_over_corner_tabs_needs_a_lid_a_caliper_narrower(caliper: float) -> None:
    drawing = plainly(hinged_lid)
    (told,) = bulges(drawing, caliper)
    (report,) = reports(drawing, caliper)
    (tuck,) = [f for f in report.flaps if f.duty is Duty.TUCK_FLAP]
    assert told.measure == pytest.approx(caliper, abs=1e-6)
    assert f"panel {report.panels[tuck.on].name} {caliper:.1f} mm narrower" in told.fix
    assert tuck.layer == 2
    tabs = [f for f in report.flaps if f.panel != tuck.panel]
    assert {(f.duty, f.layer) for f in tabs} == {(Duty.GLUE_FLAP, 1)}


def test_the_corner_tabs_of_a_hinged_box_are_glued_and_its_lid_is_tucked() -> None:
    (report,) = reports(KINDS["hinged-box"].from_words({}), 0.3)
    duties = sorted(f.duty.value for f in report.flaps)
    assert duties == ["glue flap"] * 4 + ["tuck flap"]


def test_walls_turned_in_over_tabs_need_a_wider_rim_and_less_length() -> None:
    told = bulges(plainly(rolled_plain), 1.0)
    rims = [m for m in told if "second score 1.0 mm beside" in m.fix]
    ends = [m for m in told if "1.0 mm narrower (0.5 mm at" in m.fix]
    assert (len(rims), len(ends)) == (1, 1)
    assert [m.measure for m in told] == pytest.approx([1.0] * len(told))


@pytest.mark.parametrize("caliper", CALIPERS)
def test_flaps_that_lock_into_one_another_spring(caliper: float) -> None:
    assert not bulges(plainly(snap_lock), caliper)


@pytest.mark.parametrize(
    ("kind", "caliper"),
    [(kind, max(CALIPERS)) for kind in sorted(KINDS)]
    + [(kind, min(CALIPERS)) for kind in sorted(KINDS)[::3]],
)
def test_no_template_bulges(kind: str, caliper: float) -> None:
    has = any(d.name == "caliper" for d in KINDS[kind].dimensions)
    assert not bulges(KINDS[kind].from_words({"caliper": f"{caliper}mm"} if has else {}), caliper)


@pytest.mark.parametrize("kind", ["sleeve", "tuck-carton", "prism-carton", "gusseted-bag", "band"])
def test_a_glue_flap_drawn_to_go_outside_bulges_nothing(kind: str) -> None:
    assert not bulges(KINDS[kind].from_words({"caliper": "1mm", "seam-side": "outside"}), 1.0)


def test_without_a_caliper_nothing_is_told() -> None:
    assert not bulges(plainly(seal_full), 0.0)
