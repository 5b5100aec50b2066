"""OBJ and STL."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.fold.export.mesh_files import to_obj, to_stl
from tests.folding import folded
from tests.nets import hex_prism, net_of, tray


def test_a_closed_part_is_its_skin() -> None:
    rows = to_obj(folded(hex_prism())).splitlines()
    assert sum(r.startswith("v ") for r in rows) == 12
    assert sum(r.startswith("g ") for r in rows) == 8  # six walls and two ends; no glue flap
    assert sum(r.startswith("f ") for r in rows) == 6 * 2 + 2 * 4


def test_an_open_part_has_every_panel_welded() -> None:
    rows = to_obj(folded(tray())).splitlines()
    assert {r for r in rows if r.startswith("g ")} == {f"g panel_{c}" for c in "ABCDEFGHI"}
    assert sum(r.startswith("v ") for r in rows) == 8 + 4 * 2  # flap corners: two lie on each wall's side


def test_outside_is_outwards() -> None:
    """Every triangle of a cube has the middle behind it."""
    rows = to_obj(folded(net_of("cube", 40))).splitlines()
    v = np.array([[float(x) for x in r.split()[1:]] for r in rows if r.startswith("v ")])
    f = np.array([[int(x) - 1 for x in r.split()[1:]] for r in rows if r.startswith("f ")])
    a, b, c = (v[f[:, k]] for k in range(3))
    assert (((a - v.mean(axis=0)) * np.cross(b - a, c - a)).sum(axis=1) > 0).all()


def test_stl_is_text_with_three_corners_a_facet() -> None:
    text = to_stl(folded(tray()))
    assert text.startswith("solid tray\n")
    assert text.count("facet normal") * 3 == text.count("vertex")
    assert "-0.000000" not in text


def test_flat_part_in_space() -> None:
    assert "nan" not in to_stl(folded(tray()), 0.0)


def test_windows_are_open_in_stl_and_closed_in_obj() -> None:
    window = ((80, 60), (130, 60), (130, 90), (80, 90))
    plain, pierced = folded(tray()), folded(tray().ring(*window))
    assert to_obj(pierced).count("\nf ") == to_obj(plain).count("\nf ")
    assert to_stl(pierced).count("facet normal") > to_stl(plain).count("facet normal")


@pytest.mark.parametrize("fraction", [-0.1, 1.5, float("nan")])
def test_no_part_folds_by_less_than_nothing_or_more_than_all(fraction: float) -> None:
    for write in (to_obj, to_stl):
        with pytest.raises(
            ValueError, match=rf"the fraction of folding is {fraction:g}; it must be from 0 to 1"
        ):
            write(folded(tray()), fraction)
