"""Rooms of templates against solid geometry: corners are placed one by one, and scipy's ConvexHull (qhull) or shapely measures.

Corners of a regular polygon lie on a circle (Euclid, Elements IV); a solid is its outline half a caliper further out on every
side, which shapely's mitred buffer draws, and half a caliper higher for a base, a whole one for base and lid. The second
source are the mensuration formulas of handbooks (prism, pyramid, frustum, wedge: Bronstein, *Handbook of Mathematics*, from
memory; Euclid XII.7 for the pyramid).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import shapely
from scipy.spatial import ConvexHull

from cutprep.model.lines import Points
from cutprep.template.dimensions import Values
from cutprep.template.kinds import KINDS

Solid = Callable[[Values], float]
#: Thickness of card; a pyramid has none.
CALIPERS = (0.0, 0.27, 1.0)
#: In mm, and in eighths of an inch.
SCALES = (1.0, 1.0625, 1.25)


def ring(n: int, across: float) -> Points:
    """Corners of a regular polygon whose inside radius is half of something, (n, 2)."""
    corners = np.exp(2j * np.pi * (np.arange(n) + 0.5) / n) * across / 2 / math.cos(math.pi / n)
    return np.column_stack((corners.real, corners.imag))


def grown(outline: Points, by: float) -> Points:
    """An outline that much further out on every side, by shapely."""
    wide = shapely.Polygon(outline).buffer(by, join_style="mitre", mitre_limit=50.0)
    return shapely.get_coordinates(wide.exterior)[:-1]


def hull(*levels: tuple[Points, float]) -> float:
    """Volume of what outlines at heights enclose, by qhull."""
    return float(ConvexHull(np.vstack([np.column_stack((o, np.full(len(o), z))) for o, z in levels])).volume)


def box(d: Values, length: float, width: float, height: float) -> float:
    t = d["caliper"]
    corners = np.array([(0, 0), (length, 0), (length, width), (0, width)], dtype=np.float64)
    return hull((grown(corners, t / 2), 0.0), (grown(corners, t / 2), height))


def open_tray(d: Values) -> float:
    return box(d, d["length"], d["width"], d["height"] + d["caliper"] / 2)


def closed_box(d: Values) -> float:
    return box(d, d["length"], d["width"], d["height"] + d["caliper"])


def open_ring(d: Values) -> float:
    outline = grown(ring(int(d["sides"]), d["width"]), d["caliper"] / 2)
    return hull((outline, 0.0), (outline, d["height"] + d["caliper"] / 2))


def prism(d: Values) -> float:
    outline = grown(ring(int(d["sides"]), d["width"]), d["caliper"] / 2)
    return hull((outline, 0.0), (outline, d["height"] + d["caliper"]))


def star(d: Values) -> float:
    n = int(d["points"])
    radii = np.where(np.arange(2 * n) % 2, d["radius"], d["radius"] * d["waist"] / 100)
    corners = radii * np.exp(1j * np.pi * np.arange(2 * n) / n)
    outline = grown(np.column_stack((corners.real, corners.imag)), d["caliper"] / 2)
    return shapely.Polygon(outline).area * (d["height"] + d["caliper"] / 2)


def slice_of(d: Values) -> float:
    half = math.pi / d["slices"]
    x, y = d["radius"] * math.cos(half), d["radius"] * math.sin(half)
    outline = grown(np.array([(0.0, 0.0), (x, -y), (x, y)]), d["caliper"] / 2)
    return hull((outline, 0.0), (outline, d["height"] + d["caliper"]))


def gathered(d: Values) -> float:
    """A prism and a flat pyramid on it, whose sides are the gathered strip's petals: Pythagoras gives its height."""
    wide = d["width"] + d["caliper"]
    outline, high = ring(int(d["sides"]), wide), d["height"] + d["caliper"] / 2
    tip = high + math.sqrt(d["gather"] ** 2 - wide**2 / 4)
    return hull((outline, 0.0), (outline, high), (np.zeros((1, 2)), tip))


def frustum(rise: float) -> Solid:
    """Two like polygons above each other; `rise` calipers are added to the height."""

    def volume(d: Values) -> float:
        n, t = int(d["sides"]), d["caliper"]
        return hull((ring(n, d["base"] + t), 0.0), (ring(n, d["width"] + t), d["height"] + rise * t))

    return volume


def ridged(d: Values) -> float:
    """A box with a roof whose ends lean in as its sides do, so that the ridge is shorter by the width."""
    t = d["caliper"]
    x, y, high = (d["length"] + t) / 2, (d["width"] + t) / 2, d["height"] + t / 2
    foot = np.array([(-x, -y), (x, -y), (x, y), (-x, y)])
    ridge = np.array([(y - x, 0.0), (x - y, 0.0)])
    return hull((foot, 0.0), (foot, high), (ridge, high + d["rise"]))


def pyramid(d: Values) -> float:
    return hull((ring(int(d["sides"]), d["width"]), 0.0), (np.zeros((1, 2)), d["height"]))


def outer_layer(d: Values) -> float:
    return box(d, d["side"], d["side"], d["height"] + d["caliper"] / 2)


def shoulder_base(d: Values) -> float:
    """The base goes round a frame: its inside is the frame's outside, with the tabs in it, and play."""
    t, play = d["caliper"], d["play"]
    return box(
        d, d["length"] + 2 * t + 2 * play, d["width"] + 4 * t + 2 * play, d["height"] + d["caliper"] / 2
    )


SOLIDS: dict[str, Solid] = {
    "tray": open_tray,
    "tray-with-lid": open_tray,
    "drawer-and-sleeve": open_tray,
    "shoulder-box": shoulder_base,
    "gusseted-bag": open_tray,
    "exploding-box": outer_layer,
    "hinged-box": closed_box,
    "tuck-carton": closed_box,
    "polygon-box": open_ring,
    "prism-carton": prism,
    "star-box": star,
    "cake-slice": slice_of,
    "gathered-box": gathered,
    "cup": frustum(0.5),
    "treat-box": frustum(1.0),
    "milk-carton": ridged,
    "gable-box": ridged,
    "pyramid": pyramid,
}


def test_no_stated_room_is_left_out() -> None:
    stated = {name for name, kind in KINDS.items() if kind.expect(kind.values()).volume is not None}
    assert stated == set(SOLIDS)


@pytest.mark.parametrize("name", sorted(SOLIDS))
def test_the_stated_room_is_that_of_the_solid(name: str) -> None:
    kind = KINDS[name]
    lengths = [d for d in kind.dimensions if d.plain and d.name != "caliper"]
    for scale, caliper in zip(SCALES, CALIPERS, strict=True):
        given = {d.name: d.default * scale for d in lengths}
        if any(d.name == "caliper" for d in kind.dimensions):
            given["caliper"] = caliper
        d = kind.values(**given)
        assert kind.expect(d).volume == pytest.approx(SOLIDS[name](d), rel=1e-9)


@pytest.mark.parametrize("sides", [3, 4, 5, 8])
@pytest.mark.parametrize("name", ["prism-carton", "pyramid", "gathered-box", "cup", "treat-box"])
def test_for_any_number_of_sides(name: str, sides: int) -> None:
    kind = KINDS[name]
    d = kind.values(sides=max(sides, 4) if name == "cup" else sides)
    assert kind.expect(d).volume == pytest.approx(SOLIDS[name](d), rel=1e-9)


@pytest.mark.parametrize(("points", "waist"), [(4, 50.0), (5, 60.0), (6, 72.0)])
def test_for_any_star(points: int, waist: float) -> None:
    d = KINDS["star-box"].values(points=points, waist=waist, caliper=0.5)
    assert KINDS["star-box"].expect(d).volume == pytest.approx(star(d), rel=1e-9)
