"""Stated areas and blanks of templates against nets that are laid polygon by polygon: shapely joins and measures them.

What is laid are rectangles, regular polygons, triangles and circular segments (Euclid, Elements I, III, IV); how far flaps are
drawn in is the templates' own choice (common practice, no published source): by tan 15 degrees, 0.268, of their depth, or at an angle.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import accumulate, pairwise

import numpy as np
import pytest
import shapely
from shapely import Polygon, affinity, box

from cutprep.template.dimensions import Values
from cutprep.template.kinds import KINDS
from tests.outside.laid_boxes import (
    LEAN,
    Net,
    capped,
    drawer,
    exploding,
    four,
    gathered,
    hinged,
    over,
    polygon_box,
    pyramid,
    slice_of,
    tray_of,
    tube,
    wing,
)
from tests.outside.laid_frusta import cup, star, treat_box

CALIPERS = (0.0, 0.27, 1.0)
#: In mm, and in eighths of an inch.
SCALES = (1.0, 1.0625, 1.25)


def tuck_carton(d: Values) -> Net:
    t, tuck, h = d["caliper"], d["tuck"], d["height"] + d["caliper"]
    walls = four(d["length"], d["width"], t)
    x = list(accumulate(walls, initial=0.0))
    lid, ease = d["width"] + t / 2, t + 0.5
    dust = min((d["width"] + tuck) / 2, d["length"] / 2 - 1)
    below = [box(0, -lid, x[1], 0), wing((ease, -lid), (x[1] - ease, -lid), tuck, LEAN * tuck)]
    below += [wing((x[k] + 0.5, 0), (x[k + 1] - 0.5, 0), dust, LEAN * dust) for k in (1, 3)]
    above = [affinity.scale(one, 1, -1, origin=(0, h / 2)) for one in below]
    return [*tube(walls, h, d["seam"]), *below, *above]


def ridge(d: Values) -> Net:
    """Walls, roof and gussets up to the ridge, base and flaps."""
    t, flap = d["caliper"], d["flap"]
    walls, h = four(d["length"], d["width"], t), d["height"] + t / 2
    roof = math.hypot((d["width"] + t) / 2, d["rise"])
    lean = max(flap + 1, LEAN * d["seam"])
    a, deep = d["length"] + t, d["width"] + t
    corners = [(0.0, 0.0), (0.0, -deep), (a, -deep), (a, 0.0)]
    flaps = [wing(p, q, flap, 0.84 * flap) for p, q in pairwise(corners)]
    return [*tube(walls, h, d["seam"], lean), box(0, h, sum(walls), h + roof), box(0, -deep, a, 0), *flaps]


def milk_carton(d: Values) -> Net:
    net = ridge(d)
    _, _, right, top = net[4 + 1].bounds
    return [*net, box(0, top, right, top + d["fin"])]


def gable_box(d: Values) -> Net:
    net = ridge(d)
    top, a, fin = net[5].bounds[3], d["length"] + d["caliper"], d["fin"]
    r, across = min(fin, d["length"] / 4) / 2, fin - 12
    for x in (0.0, a + d["width"] + d["caliper"]):
        card = box(x, top, x + a, top + fin).buffer(-r).buffer(r, quad_segs=400)
        card = card.union(box(x, top, x + a, top + fin / 2))
        half = (d["slot"] - across) / 2
        hole = shapely.LineString([(x + a / 2 - half, top + fin / 2), (x + a / 2 + half, top + fin / 2)])
        net.append(card - hole.buffer(across / 2, quad_segs=400))
    return net


def bag(d: Values) -> Net:
    t, h = d["caliper"], d["height"] + d["caliper"] / 2
    walls, deep, lean = four(d["length"], d["width"], t), d["width"] + t, LEAN * d["width"] / 4
    net = tube(walls, h, d["seam"])
    x = list(accumulate(walls, initial=0.0))
    for k in (0, 2):
        net.append(wing((x[k], 0), (x[k + 1], 0), deep * 2 / 3, 0.5))
        for share in (0.25, 0.75):
            spot = shapely.Point(x[k] + share * walls[k], h - d["edge"] - d["hole"] / 2)
            net[k] -= spot.buffer(d["hole"] / 2, quad_segs=400)
    for k in (1, 3):
        half = walls[k] / 2
        net += [
            wing((x[k] + i * half + 0.5, 0), (x[k] + (i + 1) * half - 0.5, 0), deep / 2, lean) for i in (0, 1)
        ]
    return net


def pillow(d: Values) -> Net:
    """Panels between circles through both ends of a chord and its crest."""
    w, high, bow = d["width"], d["length"], d["bow"]
    r = (w * w / 4 + bow * bow) / (2 * bow)
    net = [wing((2 * w, 0), (2 * w, high), d["seam"], 0.27 * d["seam"])]
    for x in (0.0, w):
        caps = [shapely.Point(x + w / 2, y).buffer(r, quad_segs=2000) for y in (r - bow, high + bow - r)]
        lower, upper = caps[0] & box(x, -bow, x + w, 0), caps[1] & box(x, high, x + w, high + bow)
        net += [box(x, 0, x + w, high), lower, upper]
    return net


def envelope(d: Values) -> Net:
    w, h = d["width"] + d["play"], d["height"] + d["play"]
    low = h / 2 + d["overlap"]
    sides = [
        wing((w, 1), (w, h - 1), d["flap"], 0.27 * d["flap"]),
        wing((0, h - 1), (0, 1), d["flap"], 0.27 * d["flap"]),
    ]
    bottom = Polygon([(1, 0), (w / 8, -low), (w * 7 / 8, -low), (w - 1, 0)])
    return [box(0, 0, w, h), *sides, bottom, Polygon([(1, h), (w / 2, h + low), (w - 1, h)])]


def liner(d: Values) -> Net:
    """The envelope's face, narrower, and its flap with every edge a margin further in: shapely's own way inwards."""
    w, h, margin = d["width"] + d["play"], d["height"] + d["play"], d["margin"]
    flap = Polygon([(0, h), (w / 2, h + h / 2 + d["overlap"]), (w, h), (w / 2, -1000.0)])
    return [
        box(margin, 0, w - margin, h),
        flap.buffer(-margin, join_style="mitre", mitre_limit=50) & box(0, h, w, 1000),
    ]


def divider(d: Values) -> list[Net]:
    columns, rows, slot = int(d["columns"]), int(d["rows"]), d["caliper"] + d["play"]
    found = []
    for size, cells, count in ((d["length"], columns, rows - 1), (d["width"], rows, columns - 1)):
        strip = box(0, 0, size, d["height"])
        for k in range(1, cells):
            strip -= box(size * k / cells - slot / 2, 0, size * k / cells + slot / 2, d["height"] / 2)
        found += [[strip]] * count
    return found


def cone(d: Values) -> Net:
    """The curved surface of a cone, pi r s (Archimedes, On the Sphere and Cylinder I.14), as a rectangle, and the flap."""
    r = (d["width"] + d["caliper"]) / 2
    slant = math.hypot(r, d["height"])
    return [box(-math.pi * r, 0, 0, slant), wing((0, 0), (0, slant), d["seam"], d["seam"], LEAN * d["seam"])]


def tag(d: Values) -> Net:
    card = box(0, 0, d["width"], d["height"]).buffer(-d["corner"]).buffer(d["corner"], quad_segs=400)
    spot = shapely.Point(d["width"] / 2, d["height"] - d["edge"] - d["hole"] / 2)
    return [card - spot.buffer(d["hole"] / 2, quad_segs=400)]


def lace(d: Values) -> Net:
    """A panel less every hexagon (area root of 3 / 2 of its flats' distance squared: Weisstein, "Regular Hexagon", MathWorld, from memory) of a grid in its middle."""
    far, rise = d["cell"] / math.sqrt(3), (d["cell"] + d["bar"]) * math.sqrt(3) / 2
    turns = np.radians(30 + 60 * np.arange(6))
    cell = Polygon(np.column_stack((far * np.cos(turns), far * np.sin(turns))))
    whole = box(0, 0, d["width"], d["height"])
    room, pitch = box(*whole.buffer(-d["border"] + 1e-9, join_style="mitre").bounds), d["cell"] + d["bar"]
    wide = max(k for k in range(200) if (k - 1) * pitch + d["cell"] <= room.bounds[2] - room.bounds[0])
    tall = max(k for k in range(200) if (k - 1) * rise + 2 * far <= room.bounds[3] - room.bounds[1])
    middle = (d["width"] / 2, d["height"] / 2)
    spots = (
        (middle[0] + pitch * (i + (k % 2) / 2 - (wide - 1) / 2), middle[1] + rise * (k - (tall - 1) / 2))
        for k in range(tall)
        for i in range(wide)
    )
    cells = (affinity.translate(cell, *spot) for spot in spots)
    return [whole - shapely.union_all([one for one in cells if room.covers(one)])]


def locked_band(d: Values) -> Net:
    t, w = d["caliper"], d["width"]
    slit = box(0, 0, max(2 * t, 0.4), w / 2 + t)
    whole = box(0, 0, 2 * (d["length"] + d["height"] + 2 * t) + 2 * d["tail"], w)
    return [whole - affinity.translate(slit, 20, 0) - affinity.translate(slit, 60, 0)]


NETS: dict[str, Callable[[Values], Net | list[Net]]] = {
    "tray": tray_of,
    "tray-with-lid": lambda d: [tray_of(d), over(d, d["length"], d["width"], d["lid"])],
    "hinged-box": hinged,
    "shoulder-box": lambda d: [
        over(d, d["length"], d["width"], d["height"]),
        over(d, d["length"], d["width"], d["lid"]),
        tube(four(d["length"], d["width"], d["caliper"]), d["height"] + d["shoulder"], d["seam"]),
    ],
    "exploding-box": exploding,
    "tuck-carton": tuck_carton,
    "sleeve": lambda d: tube(four(d["length"], d["width"], d["caliper"]), d["height"], d["seam"]),
    "band": lambda d: tube(
        four(d["length"], d["height"], d["caliper"]), d["width"], d["overlap"], min(LEAN * d["overlap"], d["width"] / 6)
    ),
    "polygon-box": polygon_box,
    "prism-carton": lambda d: capped(d, d["height"] + d["caliper"], 2),
    "gathered-box": gathered,
    "cake-slice": slice_of,
    "drawer-and-sleeve": drawer,
    "swing-tag": tag,
    "milk-carton": milk_carton,
    "gable-box": gable_box,
    "gusseted-bag": bag,
    "pillow-box": pillow,
    "envelope": envelope,
    "envelope-liner": liner,
    "divider": divider,
    "pyramid": pyramid,
    "cone": cone,
    "cup": cup,
    "treat-box": treat_box,
    "star-box": star,
    "lace": lace,
    "locked-band": locked_band,
    "folded-card": lambda d: [box(0, 0, 2 * d["width"], d["height"])],
    "place-card": lambda d: [box(0, 0, d["width"], 2 * d["height"])],
    "pop-up-stair": lambda d: [box(0, 0, d["width"], 2 * d["height"])],
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(NETS))
def test_stated_area_and_blank_are_those_of_the_net(name: str) -> None:
    kind = KINDS[name]
    for scale, caliper in zip(SCALES, CALIPERS, strict=True):
        given = {d.name: d.default * scale for d in kind.dimensions if d.plain and d.name != "caliper"}
        if any(d.name == "caliper" for d in kind.dimensions):
            given["caliper"] = caliper
        d = kind.values(**given)
        laid = NETS[name](d)
        pieces = laid if isinstance(laid[0], list) else [laid]
        said, joined = kind.expect(d), [shapely.union_all(net, grid_size=1e-9) for net in pieces]
        assert said.area == pytest.approx(sum(one.area for one in joined), rel=1e-6)
        if said.blank is not None:
            sides = np.array([np.subtract(one.bounds[2:], one.bounds[:2]) for one in joined])
            apart = d.get("apart", 0.0) * (len(pieces) - 1)
            assert said.blank == pytest.approx((sides[:, 0].max(), sides[:, 1].sum() + apart), abs=1e-4)


@pytest.mark.parametrize(
    ("name", "values"),
    [
        *(("cup", {"sides": n, "base": 16.0 * n, "width": 16.0 * n + 14, "caliper": 0.5}) for n in (4, 5, 8, 10)),
        *(
            ("treat-box", {"sides": n, "width": w, "base": b, "petal": 0.58 * w, "overlap": 4.0, "caliper": 0.5})
            for n, w, b in ((3, 60.0, 44.0), (4, 60.0, 60.0), (5, 60.0, 44.0), (8, 100.0, 80.0), (12, 160.0, 150.0))
        ),
        *(("star-box", {"points": n, "waist": w, "caliper": 0.5}) for n, w in ((4, 50.0), (6, 72.0))),
        *(("lace", {"width": w, "height": 90.0, "cell": 6.5, "bar": 2.0}) for w in (41.0, 47.0, 60.0)),
    ],
)  # fmt: skip
def test_stated_area_for_any_number_of_sides(name: str, values: dict[str, float]) -> None:
    d = KINDS[name].values(**values)
    KINDS[name].from_values(**values)  # it can be drawn
    laid = NETS[name](d)
    nets = laid if isinstance(laid[0], list) else [laid]
    area = sum(shapely.union_all(net, grid_size=1e-9).area for net in nets)
    assert KINDS[name].expect(d).area == pytest.approx(area, rel=1e-6)
