"""Declarations turn with the drawing."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import JobError
from cutprep.geometry.lines.pose import CanonicalPose
from cutprep.stages.fold.declared.file import DeclaredPoint, FoldDeclarations
from cutprep.stages.fold.declared.posed import posed_declarations
from tests.folding import folded
from tests.nets import tray

#: A quarter turn, mirrored.
POSE = CanonicalPose(1j, mirrored=True, corner=complex(-5, 0))


def test_every_point_and_the_grain_turn() -> None:
    a, b = DeclaredPoint((1.0, 2.0)), DeclaredPoint((3.0, 4.0))
    said = FoldDeclarations(
        grain=10.0,
        angles=((a, 90.0),),
        mates=((a, b),),
        flaps=((a, b), (b, None)),
        gathers=((a, b),),
        opens=(b,),
    )
    found = posed_declarations(said, POSE)
    x, y = POSE.there(np.array([[1.0, 2.0]]))[0].tolist()
    spots = [found.angles[0][0], found.mates[0][0], found.flaps[0][0], found.gathers[0][0]]
    assert all(s.xy == (x, y) and s.as_said == (1.0, 2.0) for s in spots)
    assert found.flaps[1] == (found.opens[0], None) == (found.mates[0][1], None)
    assert found.grain == pytest.approx(80.0)


def test_a_point_that_names_nothing_is_told_as_it_was_said() -> None:
    """The maker looks for the point that she wrote, not for where it lies while folding is worked out."""
    declared = FoldDeclarations(angles=((DeclaredPoint((900.0, 75.0)), 90.0),))
    with pytest.raises(JobError, match="900, 75"):
        folded(tray(), declared=declared)
