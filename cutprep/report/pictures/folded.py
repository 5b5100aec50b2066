"""Pictures of a folded part: one view, or frames from flat to folded, as SVG.

Parallel projection; every panel is painted once a frame, the farthest first. The outside of the
card is warm, the inside cool, flaps are hatched. Frames between flat and folded are pictures,
no proof that card can pass that way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import TypeAlias

import numpy as np
import shapely

from cutprep.geometry.space.depth_order import paint_order, plane_of
from cutprep.geometry.space.hinged import angles_at, carry, pose_panels, tree_of
from cutprep.model.folded import FoldReport, Role, Verdict
from cutprep.model.lines import Points
from cutprep.report.pictures.panel_letters import FONT, SpaceMark, drawn_mark, panel_letters

#: Azimuth and elevation of the eye, degrees: from outside, and into an open box.
VIEWS = {"outside": (-58.0, 24.0), "inside": (-58.0, 58.0)}
#: Base colours: (outside, inside) by role.
COLOURS = {
    Role.BODY: ((244, 233, 212), (214, 228, 236)),
    Role.FLAP: ((240, 204, 140), (196, 214, 178)),
    Role.GUSSET: ((232, 214, 226), (222, 204, 230)),
}
#: Direction the light comes from, in the picture.
_LIGHT = np.array([-0.35, 0.55, 0.76])
_EDGE = "#4a4238"
#: Room a caption needs, mm.
_CAPTION = 27.0
#: Steps by which the eye is moved round a part to find the view that shows most of it, degrees.
_EYE_STEP = 15
#: A face that is seen more aslant than this (cosine) hardly shows.
_ASLANT = 0.2
#: Decimals of a millimetre in which a picture is worked out.
_DECIMALS = 6
#: Rotation of each panel, (p, 3, 3), and its shift, (p, 3) mm.
Pose: TypeAlias = tuple[Points, Points]


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One frame, ready to be drawn.

    Attributes
    ----------
    panels
        (n, 3) ndarray of float each: corners in the picture, mm; z towards the viewer.
    holes
        Windows of each panel, likewise.
    order
        Panels from the farthest to the nearest.
    """

    panels: tuple[Points, ...]
    holes: tuple[tuple[Points, ...], ...]
    order: tuple[int, ...]

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top, mm."""
        xy = np.concatenate((*self.panels, np.zeros((0 if self.panels else 1, 3))))[:, :2]
        (left, bottom), (right, top) = xy.min(axis=0), xy.max(axis=0)
        return float(left), float(bottom), float(right), float(top)


def camera(up: Sequence[float], azimuth: float, elevation: float) -> Points:
    """Rotation into the picture, (3, 3): rows are right, up and towards the viewer.

    Parameters
    ----------
    up
        Direction that stands upright in the picture.
    azimuth, elevation
        Where the eye is, degrees.
    """
    z = np.array(up, dtype=np.float64)
    z /= np.linalg.norm(z)
    helper = np.array([1.0, 0.0, 0.0]) if abs(z[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    x = helper - (helper @ z) * z
    x /= np.linalg.norm(x)
    y = np.cross(z, x)
    a, e = np.radians(azimuth), np.radians(elevation)
    towards = np.cos(e) * (np.cos(a) * x + np.sin(a) * y) + np.sin(e) * z
    right = -np.sin(a) * x + np.cos(a) * y
    return np.array([right, np.cross(towards, right), towards])


def best_azimuth(report: FoldReport) -> float:
    """Azimuth from which the folded part shows most of its faces on the outside, degrees.

    A card with steps that pop up is seen from the side to which it opens. Of those that show equally many, the one that shows the largest area, and then the nearest to
    the usual one.
    """
    usual, elevation = VIEWS["outside"]
    tree = tree_of(report)
    if tree is None:
        return usual
    turn, _ = pose_panels(tree, angles_at(report, 1.0))
    shell = [k for k, p in enumerate(report.panels) if p.role is Role.BODY]
    # Scores that close a ring between slits in a card: what they fold stands up inside it.
    opens = report.verdict is Verdict.LEAF and len(report.hinges) >= len(report.panels)
    outward = np.array([turn[k][:, 2] for k in shell]) * (-1.0 if report.inside_up != opens else 1.0)
    areas = np.array([shapely.Polygon(report.panels[k].outline).area for k in shell])

    def shown(offset: int) -> tuple[int, float, int]:
        facing = outward @ camera(report.up, usual + offset, elevation)[2]
        seen = facing > _ASLANT
        return int(seen.sum()), round(float((areas * facing)[seen].sum()), 1), -abs(offset)

    offsets = range(-180 + _EYE_STEP, 181, _EYE_STEP)
    return usual + max(offsets, key=shown)


def view_of(report: FoldReport, fraction: float, azimuth: float, elevation: float) -> View:
    """Look at a part at a fraction of folding.

    Parameters
    ----------
    report
        A folded part.
    fraction
        0 flat, 1 folded.
    azimuth, elevation
        From where it is seen, degrees.
    """
    return view_at(report, posed(report, angles_at(report, fraction)), azimuth, elevation)


def posed(report: FoldReport, radians: Points) -> Pose:
    """Where the panels of a part are, folded by any angles; (p,) radians above every panel, 0 for those that hang on none."""
    tree, count = tree_of(report), len(report.panels)
    if tree is None:
        return np.broadcast_to(np.eye(3), (count, 3, 3)), np.zeros((count, 3))
    return pose_panels(tree, radians)


def view_at(report: FoldReport, pose: Pose, azimuth: float, elevation: float) -> View:
    """Look at a part with its panels in a pose.

    Parameters
    ----------
    pose
        As `posed` gives it.
    azimuth, elevation
        From where it is seen, degrees.
    """
    return _seen(report, pose, camera(report.up, azimuth, elevation))


def _seen(report: FoldReport, pose: Pose, look: Points) -> View:
    """Look at a part through a camera: rows right, up and towards the viewer."""
    turn, shift = look @ pose[0], pose[1] @ look.T
    panels = tuple(_carried(turn[k], shift[k], p.outline) for k, p in enumerate(report.panels))
    holes = tuple(tuple(_carried(turn[k], shift[k], h) for h in p.holes) for k, p in enumerate(report.panels))
    order = paint_order([p[:-1] for p in panels], before_in_plane(report, turn), same=same_plane(report))
    return View(panels, holes, tuple(order))


def _carried(turn: Points, shift: Points, points: Points) -> Points:
    """Points in the picture, without the digits that hang on the processor: what hides what, and where letters stand, must not."""
    return np.asarray(np.round(carry(turn, shift, points), _DECIMALS) + 0.0)


def same_plane(report: FoldReport) -> float:
    """Depths closer than this are one plane, mm: a flap that is a seam error off its panel lies on it."""
    return min(max(0.05, 2.0 * report.gap), 2.0) if np.isfinite(report.gap) else 0.05


def before_in_plane(report: FoldReport, turn: Points) -> list[float]:
    """Which of two panels in one plane is painted first: a flap lies inside the panel it is on.

    Parameters
    ----------
    turn
        (p, 3, 3) ndarray of float: rotation of each panel into the picture.
    """
    value = [0.0] * len(report.panels)
    inside = 1.0 if report.inside_up else -1.0
    for flap in report.flaps:
        if flap.target is not None:
            layer = 2.0 if flap.target == flap.on else 1.0  # a turned-in wall covers glue flaps
            value[flap.panel] = layer if turn[flap.target][2, 2] * inside > 0 else -layer
    return value


def folded_picture(
    report: FoldReport,
    *,
    view: str = "outside",
    fraction: float = 1.0,
    width: float = 90.0,
    key: str = "fold",
    marks: Sequence[SpaceMark] | None = None,
) -> str:
    """Draw a part from one side.

    Parameters
    ----------
    view
        "outside", or "inside" to look down into it.
    fraction
        0 flat ... 1 folded.
    width
        Of the picture, mm.
    key
        Prefix of ids, so that several pictures can stand in one page.
    marks
        Distances to show on it in place of the letters of its panels, when it is folded.

    Returns
    -------
    str
        SVG.
    """
    return _sheet(report, [(fraction, view)], width, key, marks)


def folding_frames(
    report: FoldReport,
    *,
    fractions: Sequence[float] = (0.0, 0.35, 0.7, 1.0),
    width: float = 180.0,
    key: str = "frames",
) -> str:
    """Draw frames from flat to folded, and a last look from above, into the part.

    A closed part is opened a little for the look inside; one that was not folded is drawn flat,
    once.

    Parameters
    ----------
    report
        A folded part.
    fractions
        Stages of folding, 0 flat, 1 folded.
    width
        Of a frame, mm.
    key
        Begins the ids in the picture, so that several can stand on a page.
    """
    if report.motion is None or not report.motion.angles.any():
        return _sheet(report, [(0.0, "inside")], width, key)
    frames = [(f, "outside") for f in fractions]
    frames.append((1.0 if report.open_sides else 0.7, "inside"))
    return _sheet(report, frames, width, key)


def _sheet(
    report: FoldReport,
    frames: Sequence[tuple[float, str]],
    width: float,
    key: str,
    marks: Sequence[SpaceMark] | None = None,
) -> str:
    azimuth = best_azimuth(report)
    looks = [
        view_of(report, fraction, azimuth, VIEWS[view][1])
        if fraction
        else _seen(report, posed(report, angles_at(report, 0.0)), np.eye(3))  # flat, as it was drawn
        for fraction, view in frames
    ]
    boxes = [look.bounds for look in looks]
    gap, head, foot = 4.0, 5.0, 5.0
    widths = [b[2] - b[0] for b in boxes]
    tallest = max(b[3] - b[1] for b in boxes)
    room = width - gap * (len(frames) + 1)
    scale = _scale(widths, room, tallest, width)
    cells = [max(w * scale, _CAPTION) for w in widths]
    spare = max(0.0, room - sum(cells)) / len(frames)
    height = tallest * scale + head + foot + 2
    rows = [
        _opening(width, height, _title(report)),
        _hatch(key),
        f"<rect width='{width:g}' height='{height:.2f}' fill='#ffffff'/>",
        f"<text x='{gap}' y='3.6' font-size='3' {FONT} fill='#222222'>{escape(_title(report), quote=False)}</text>",
    ]
    left = gap
    for look, box, cell, (fraction, view) in zip(looks, boxes, cells, frames, strict=True):
        x0 = left + (cell + spare) / 2 - (box[0] + box[2]) / 2 * scale
        y0 = head + tallest * scale / 2 + (box[1] + box[3]) / 2 * scale + 1
        lettered = None if marks is not None else fraction == 0.0
        rows += _frame(report, look, scale, x0, y0, key, aside=lettered)
        turned = camera(report.up, azimuth, VIEWS[view][1])
        rows += [
            drawn_mark(mark, mark.ends @ turned.T[:, :2] * (scale, -scale) + (x0, y0)) for mark in marks or ()
        ]
        rows.append(
            f"<text x='{left + (cell + spare) / 2:.2f}' y='{height - 1.5:.2f}' font-size='2.6' text-anchor='middle' "
            f"{FONT} fill='#555555'>{_caption(fraction, view)}</text>"
        )
        left += cell + spare + gap
    return "\n".join([*rows, "</svg>"]) + "\n"


def _opening(width: float, height: float, title: str) -> str:
    words = escape(title, quote=False)
    label = words.replace("'", "&apos;")
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{width:g}mm' height='{height:.2f}mm' "
        f"viewBox='0 0 {width:g} {height:.2f}' role='img' aria-label='{label}'>\n<title>{words}</title>"
    )


def _scale(widths: Sequence[float], room: float, tallest: float, width: float) -> float:
    """Largest scale at which all frames stand side by side, each at least as wide as its caption."""
    scale = 0.45 * width / max(tallest, 1.0)
    while scale > 0 and sum(max(w * scale, _CAPTION) for w in widths) > room:
        wide = [w for w in widths if w * scale > _CAPTION]
        if not wide:
            break
        fitting = (room - _CAPTION * (len(widths) - len(wide))) / sum(wide)
        scale = min(0.99 * scale, max(fitting, 0.9 * scale))
    return scale


def _title(report: FoldReport) -> str:
    text = f"{report.name}: {report.verdict.value}"
    if report.mates:
        text += f"; seams meet within {report.gap:.2f} mm"
    return text


def _caption(fraction: float, view: str) -> str:
    if fraction == 0.0 and view == "inside":
        return "flat"
    stage = {0.0: "flat", 1.0: "folded"}.get(fraction, f"{100 * fraction:.0f} % folded")
    return stage if view == "outside" else f"{stage}, from above"


def _hatch(key: str) -> str:
    return (
        f"<defs><pattern id='{key}-hatch' width='1.6' height='1.6' patternUnits='userSpaceOnUse' "
        "patternTransform='rotate(45)'><line x1='0' y1='0' x2='0' y2='1.6' stroke='#7a6a4a' "
        "stroke-width='0.25' stroke-opacity='0.6'/></pattern></defs>"
    )


def _frame(
    report: FoldReport, look: View, scale: float, x0: float, y0: float, key: str, *, aside: bool | None
) -> list[str]:
    """Panels of one frame, and the letters of those that are seen, where asked beside a panel too; none when that is None."""

    def flat(points: Points) -> Points:
        return np.column_stack((x0 + points[:, 0] * scale, y0 - points[:, 1] * scale))

    rows = []
    for k in look.order:
        panel = report.panels[k]
        path = "".join(_path(flat(ring[:-1])) for ring in (look.panels[k], *look.holes[k]))
        hatched = panel.role is Role.FLAP
        fill = _shade(look.panels[k], panel.role, inside_up=report.inside_up)
        rows.append(
            f"<path class='panel' data-panel='{panel.name}' d='{path}' fill='{fill}' fill-rule='evenodd' "
            f"stroke='{_EDGE}' stroke-width='0.22' stroke-linejoin='round'/>"
        )
        if hatched:
            rows.append(f"<path class='hatch' d='{path}' fill='url(#{key}-hatch)' fill-rule='evenodd'/>")
    if aside is None:
        return rows
    shapes = [
        shapely.Polygon(p[:-1, :2], [h[:-1, :2] for h in q])
        for p, q in zip(look.panels, look.holes, strict=True)
    ]
    names = [panel.name for panel in report.panels]
    return rows + panel_letters(names, shapes, look.order, scale, flat, aside=aside)


def _path(ring: Points) -> str:
    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in ring.tolist())
    return f"M{points}Z"


def _shade(corners: Points, role: Role, *, inside_up: bool) -> str:
    """Colour of the side that is seen, lighter where it faces the light."""
    normal = np.array(plane_of(corners[:-1])[:3])
    inner = (normal[2] > 0) == inside_up
    facing = normal if normal[2] > 0 else -normal
    light = 0.78 + 0.22 * max(0.0, float(facing @ _LIGHT))
    colour = COLOURS[role][1 if inner else 0]
    return "#{:02x}{:02x}{:02x}".format(*(min(255, round(c * light)) for c in colour))
