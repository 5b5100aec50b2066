"""What flaps are called."""

from __future__ import annotations

from collections import Counter

import pytest

from cutprep.model.duties import Duty
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
