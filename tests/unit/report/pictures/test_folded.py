"""Pictures of folded parts."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely

from cutprep.geometry.space.depth_order import plane_of
from cutprep.model.folded import FoldReport, Role, Verdict
from cutprep.report.pictures.folded import (
    VIEWS,
    best_azimuth,
    camera,
    folded_picture,
    folding_frames,
    view_of,
)
from cutprep.report.pictures.turntable import turntable
from tests.folding import folded
from tests.nets import (
    Sketch,
    double_walled_tray,
    gathered,
    hex_prism,
    net_of,
    pillow,
    tray,
    tuck_end,
    webbed_tray,
)

NETS = [tray(), hex_prism(), tuck_end(), webbed_tray(), gathered(), net_of("icosahedron", 40)]


def groups(svg: str) -> list[str]:
    return re.findall(r"class='panel' data-panel='(\w+)'", svg)


@pytest.mark.parametrize("sketch", NETS, ids=lambda s: s.name)
@pytest.mark.parametrize("view", ["outside", "inside"])
def test_every_panel_is_drawn_once(sketch: Sketch, view: str) -> None:
    report = folded(sketch)
    svg = folded_picture(report, view=view)
    ET.fromstring(svg)
    assert sorted(groups(svg)) == sorted(p.name for p in report.panels)


@pytest.mark.parametrize("sketch", NETS, ids=lambda s: s.name)
@pytest.mark.parametrize("fraction", [0.0, 0.4, 0.8, 1.0])
@pytest.mark.parametrize("eye", [*VIEWS.values(), (100.0, -35.0)])
def test_what_is_painted_last_is_what_is_nearest(
    sketch: Sketch, fraction: float, eye: tuple[float, float]
) -> None:
    """Against casting a ray at many points of the picture."""
    report = folded(sketch)
    look = view_of(report, fraction, *eye)
    planes = [plane_of(p[:-1]) for p in look.panels]
    shapes = [shapely.Polygon(p[:-1, :2]) for p in look.panels]
    faces = [k for k, s in enumerate(shapes) if abs(planes[k][2]) > 1e-2 and s.is_valid]
    rank = {k: n for n, k in enumerate(look.order)}
    rng = np.random.default_rng(1)
    left, bottom, right, top = look.bounds
    points = rng.uniform((left, bottom), (right, top), (400, 2))
    hits = np.array([shapely.contains_xy(shapes[k].buffer(-0.3), points) for k in faces])
    wrong = 0
    for (x, y), here in zip(points, hits.T, strict=True):
        hit = [k for k, on in zip(faces, here, strict=True) if on]
        if len(hit) < 2:
            continue
        depth = {k: (planes[k][3] - planes[k][0] * x - planes[k][1] * y) / planes[k][2] for k in hit}
        last = max(hit, key=rank.__getitem__)
        wrong += depth[last] < max(depth.values()) - 0.3
    # card that passes through card on the way from flat to folded has no right order
    assert wrong <= (0 if fraction in {0.0, 1.0} else 12)


def test_a_flap_inside_is_hidden_from_outside_and_seen_from_inside() -> None:
    report = folded(tray())
    flap = report.flaps[0]
    outside = view_of(report, 1.0, -58, 24)
    rank = outside.order.index
    target = np.array(plane_of(outside.panels[flap.target][:-1])[:3])
    seen_inside = (target[2] > 0) == report.inside_up
    assert (rank(flap.panel) > rank(flap.target)) is bool(seen_inside)


def test_title_says_the_verdict_and_how_far_seams_are_apart() -> None:
    svg = folded_picture(folded(tray(far_wall=32)))
    assert "does not close; seams meet within 2.00 mm" in svg


@pytest.mark.parametrize("sketch", [*NETS[:5], double_walled_tray()], ids=lambda s: s.name)
def test_every_panel_of_the_flat_part_has_its_letter(sketch: Sketch) -> None:
    """Small flaps have a small letter, or one beside them with a line to it."""
    report = folded(sketch)
    svg = folding_frames(report)
    first = svg[: svg.index(">flat</text>")]
    letters = re.findall(r"font-size='([\d.]+)'[^>]*fill='#333333'>(\w+)</text>", first)
    assert sorted(name for _, name in letters) == sorted(p.name for p in report.panels)
    assert min(float(height) for height, _ in letters) >= 1.5


def test_a_letter_that_has_no_room_stands_beside_the_part() -> None:
    svg = folding_frames(folded(tray(reach=4, taper=2)), width=100)
    assert svg.count("class='lead'") == 4


@pytest.mark.parametrize("sketch", NETS, ids=lambda s: s.name)
def test_the_view_shows_as_many_faces_as_any(sketch: Sketch) -> None:
    """Faces by casting: those with a spot of their own in the picture, on the outside."""
    report = folded(sketch)

    def shown(azimuth: float) -> int:
        look = view_of(report, 1.0, azimuth, VIEWS["outside"][1])
        seen, cover = 0, shapely.Polygon()
        for k in reversed(look.order):
            shape = shapely.Polygon(look.panels[k][:-1, :2])
            outside = (plane_of(look.panels[k][:-1])[2] > 0) != report.inside_up
            area = shapely.Polygon(report.panels[k].outline).area
            seen += (
                outside and report.panels[k].role is Role.BODY and shape.difference(cover).area > 0.21 * area
            )
            cover = cover.union(shape.buffer(0))
        return seen

    best = shown(best_azimuth(report))
    assert best >= max(shown(a) for a in range(0, 360, 30))


def test_flaps_are_hatched_in_another_colour() -> None:
    svg = folded_picture(folded(tray()), view="inside", key="x")
    assert svg.count("url(#x-hatch)") == 4
    fills = dict(re.findall(r"data-panel='(\w+)'.*?fill='(#\w+)'", svg))
    report = folded(tray())
    flaps = {report.panels[f.panel].name for f in report.flaps}
    assert not {fills[n] for n in flaps} & {f for n, f in fills.items() if n not in flaps}


def test_frames_go_from_flat_to_folded_and_look_inside() -> None:
    report = folded(tray())
    svg = folding_frames(report)
    ET.fromstring(svg)
    assert len(groups(svg)) == 5 * 9
    for word in ("flat", "35 % folded", "folded, from above"):
        assert f">{word}</text>" in svg


def test_each_caption_stands_below_the_middle_of_its_frame() -> None:
    root = ET.fromstring(folding_frames(folded(tray()), width=180))
    shown: list[tuple[float, float, float]] = []
    spans: list[float] = []
    for one in root:
        if one.get("class") == "panel":
            spans += [float(x) for x in re.findall(r"(-?[\d.]+),", one.get("d", ""))]
        elif one.get("text-anchor") == "middle" and one.get("font-size") == "2.6" and spans:
            shown.append((min(spans), max(spans), float(one.get("x", ""))))
            spans = []
    assert len(shown) == 5
    for left, right, caption in shown:
        assert caption == pytest.approx((left + right) / 2, abs=0.02)
    assert all(before[1] < after[0] for before, after in pairwise(shown))


def test_an_unfolded_part_is_drawn_flat_once() -> None:
    report = folded(pillow())
    svg = folding_frames(report)
    assert len(groups(svg)) == len(report.panels)
    assert ">flat</text>" in svg


def test_windows_are_open() -> None:
    svg = folded_picture(folded(tray().ring((80, 60), (130, 60), (130, 90), (80, 90))), view="inside")
    (path,) = re.findall(r"data-panel='A' d='([^']+)'", svg)
    assert path.count("M") == 2


def test_names_are_escaped() -> None:
    svg = folded_picture(replace(folded(tray()), name='jar\'s <lid> & "tray"'))
    root = ET.fromstring(svg)
    assert root[0].text is not None
    assert root[0].text.startswith('jar\'s <lid> & "tray"')


def test_everything_stays_on_the_picture() -> None:
    for sketch in NETS:
        svg = folding_frames(folded(sketch), width=180)
        height = float(re.search(r"viewBox='0 0 180 ([\d.]+)'", svg)[1])  # type: ignore[index]
        for path in re.findall(r"<path class='panel'[^>]* d='([^']+)'", svg):
            xy = np.array(re.findall(r"(-?[\d.]+),(-?[\d.]+)", path), float)
            assert xy.min() >= 0
            assert xy[:, 0].max() <= 180
            assert xy[:, 1].max() <= height


def test_the_camera_is_a_rotation_with_up_upright() -> None:
    for up in ((0, 0, 1), (0, 0, -1), (1, 0, 0), (0.3, -0.4, 0.6)):
        look = camera(up, -58, 24)
        assert np.allclose(look @ look.T, np.eye(3))
        assert np.isclose(np.linalg.det(look), 1)
        seen = look @ (np.array(up) / np.linalg.norm(up))
        assert abs(seen[0]) < 1e-12
        assert seen[1] > 0


def test_a_report_without_panels_still_gives_a_picture_with_its_title() -> None:
    empty = FoldReport("lines", Verdict.FAULTY)
    for svg in (folded_picture(empty), folding_frames(empty)):
        assert "lines: not checked (outline open)" in svg
    assert "lines" in turntable(empty)
