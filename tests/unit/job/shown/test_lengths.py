"""A letter stands where its dimension is."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.job.shown.lengths import measured
from cutprep.template.kinds import KINDS


@pytest.mark.parametrize(
    "name", ["tray", "tuck-carton", "prism-carton", "sleeve", "band", "divider", "swing-tag"]
)
def test_a_letter_stands_where_its_dimension_is(name: str) -> None:
    """A drawn distance is the dimension, or that and the layers of card that its arithmetic adds."""
    kind = KINDS[name]
    drawing = kind.from_values()
    lettered = 0
    for d in kind.dimensions:
        spot = measured(kind, d, drawing, {})
        if spot is not None:
            assert np.hypot(*(spot[1] - spot[0])) == pytest.approx(d.default, abs=1.2)
            lettered += 1
    assert lettered >= 2
