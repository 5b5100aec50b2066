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


@pytest.mark.parametrize(
    ("name", "dimension"),
    [("cone", "width"), ("cone", "height"), ("envelope", "overlap"), ("envelope-liner", "width"), ("envelope-liner", "margin"),
     ("envelope-liner", "overlap"), ("treat-box", "overlap"), ("shoulder-box", "shoulder"), ("lace", "border")],
)  # fmt: skip
def test_what_no_two_corners_show_is_measured_from_a_line_of_the_picture(name: str, dimension: str) -> None:
    kind = KINDS[name]
    usual = next(d.default for d in kind.dimensions if d.name == dimension)
    for value in (usual, usual + 0.5):
        p, q = kind.seen(**{dimension: value}).spans[dimension]
        assert np.hypot(*(q - p)) == pytest.approx(value, abs=1e-9)


def test_the_rim_of_a_base_is_shown_on_its_frame() -> None:
    """From the frame's foot to the line it is as high as the base inside."""
    drawing, seen = KINDS["shoulder-box"].from_values(), KINDS["shoulder-box"].seen()
    top = drawing.page[1] if drawing.page else 0.0
    assert top - seen.lines[0][0, 1] == pytest.approx(10.0, abs=1e-9)
