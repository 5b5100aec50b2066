"""Walls that lean in and out in turn."""

from __future__ import annotations

import pytest

from cutprep.model.folded import Verdict
from cutprep.stages.fold.closing.verdict.state import frame_of
from cutprep.stages.fold.closing.ways.staves import stave_ways
from cutprep.stages.fold.declared.constraints import FoldConstraints
from tests.bench.fold_kinds import case_of
from tests.folding import folded, part_from
from tests.nets import hex_prism, tuck_end
from tests.nets import tray as plain_tray


@pytest.mark.parametrize(("kind", "verdict"), [("bottle", Verdict.OPEN_BOX), ("hourglass", Verdict.CLOSED)])
def test_a_body_with_a_waist_or_a_neck_is_told_with_its_volume(kind: str, verdict: Verdict) -> None:
    """Volumes of frusta and prismatoids, beside the net."""
    case = case_of(kind, 3)
    report = folded(case.drawing)
    assert report.verdict is verdict
    assert report.volume_mm3 == pytest.approx(case.wants[0].volume, rel=1e-6)
    assert report.ok


@pytest.mark.parametrize("make", [plain_tray, tuck_end, hex_prism])
def test_what_leans_to_one_side_only_has_no_staves(make: object) -> None:
    part = part_from(make())  # type: ignore[operator]
    signs = [float(h.fold) for h in part.hinges]
    assert list(stave_ways(frame_of(part), FoldConstraints({}, 1.0, signs, (), 0.5))) == []  # type: ignore[arg-type]
