"""What flaps are called."""

from __future__ import annotations

from collections import Counter

import pytest

from cutprep.model.duties import Duty
from cutprep.stages.fold.plan import fold
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import case_of
from tests.folding import codes_of, folded


@pytest.mark.parametrize("kind", ["carton, sealed, full flaps", "carton, sealed, flaps meet"])
def test_small_flaps_under_a_sealed_end_are_dust_flaps(kind: str) -> None:
    duties = Counter(f.duty for f in folded(case_of(kind, 1).drawing).flaps)
    assert (duties[Duty.DUST_FLAP], duties[Duty.GLUE_FLAP]) == (4, 1)


def test_the_rim_of_a_rolled_wall_is_no_flap_and_not_too_narrow() -> None:
    report = folded(case_of("mailer, rolled sides, lid with ears", 1).drawing)
    duties = Counter(f.duty for f in report.flaps)
    assert duties[Duty.TURNED_WALL] == 4
    assert not duties[Duty.TUCK_FLAP]
    assert not {"flap-narrow", "panel-narrow"} & set(codes_of(report))


def test_deep_tabs_of_a_narrow_hinged_box_are_glued_and_its_lid_is_tucked() -> None:
    """They reach further over their sides than dust flaps do, but nothing else holds these: the making sheet has them glued."""
    drawing = KINDS["hinged-box"].from_values(length=133.0, width=44.5, height=32.5, tab=14.5, tuck=22.0)
    (report,) = fold(drawing, thickness=0.3, tolerance=Tolerance())
    assert sorted(f.duty.value for f in report.flaps) == ["glue flap"] * 4 + ["tuck flap"]
