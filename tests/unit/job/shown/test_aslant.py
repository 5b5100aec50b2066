"""Letters at diameters, radii, card beside holes, and at the depth of flaps that hang aslant."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.job.shown.aslant import across_boxes, from_folds
from cutprep.template.kinds import KINDS


@pytest.mark.parametrize(
    ("name", "dimension"),
    [
        ("swing-tag", "hole"),
        ("swing-tag", "edge"),
        ("swing-tag", "corner"),
        ("drawer-and-sleeve", "notch"),
        ("pillow-box", "bow"),
        ("lace", "cell"),
    ],
)
def test_two_sides_of_boxes_are_as_far_apart_as_the_dimension(name: str, dimension: str) -> None:
    kind = KINDS[name]
    size = kind.values()[dimension]
    spot = across_boxes(kind.from_values(), kind.from_values(**{dimension: size + 0.5}), size, 0.5)
    assert spot is not None
    p, q = spot
    assert np.hypot(*(q - p)) == pytest.approx(size, abs=0.03)
    assert min(abs(q - p)) == 0.0  # level or upright


@pytest.mark.parametrize(
    ("name", "dimension"),
    [("cup", "seam"), ("star-box", "flap"), ("pyramid", "flap"), ("cake-slice", "flap")],
)
def test_a_flap_is_as_deep_as_its_free_side_lies_from_its_fold(name: str, dimension: str) -> None:
    kind = KINDS[name]
    size = kind.values()[dimension]
    spot = from_folds(kind.from_values(), kind.from_values(**{dimension: size + 0.5}), size, 0.5)
    assert spot is not None
    assert np.hypot(*(spot[1] - spot[0])) == pytest.approx(size)


def test_nothing_is_shown_where_nothing_grows_with_it() -> None:
    kind = KINDS["tray"]
    drawing = kind.from_values()
    assert across_boxes(drawing, drawing, 30.0, 0.5) is None
    assert from_folds(drawing, drawing, 30.0, 0.5) is None
