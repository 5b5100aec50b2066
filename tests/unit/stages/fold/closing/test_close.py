"""Which way of closing is taken when several meet."""

from __future__ import annotations

import pytest

from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import case_of


@pytest.mark.parametrize("seed", [75000, 1])
def test_a_slightly_leaning_box_with_glue_flaps_is_no_dented_upright_one(seed: int) -> None:
    """Walls that lean by 5 degrees meet exactly in a dented box too, with 106 % of the volume."""
    case = case_of("frustum, glue flaps", seed)
    (report,) = fold(case.drawing, tolerance=Tolerance())
    assert report.ok
    assert report.concavity < 1e-6
    assert report.volume_mm3 == pytest.approx(case.wants[0].volume, rel=1e-6)
