"""A folded part to turn by hand in a page: slider from flat to folded, drag or arrow keys to turn.

One piece of HTML with its script and data, that needs nothing from anywhere; without a script
it shows the still picture. A canvas and some vectors do; a 3-D library would weigh a hundred
times as much.
"""

from __future__ import annotations

import json
import re
from html import escape
from pathlib import Path

import numpy as np
import shapely

from cutprep.geometry.space.hinged import pose, tree_of
from cutprep.model.folded import FoldReport, Panel
from cutprep.model.lines import Points
from cutprep.report.pictures.folded import COLOURS, best_azimuth, camera, folded_picture, same_plane

#: How high the eye is at first, degrees: over an open box, and over a closed one.
_INTO, _ONTO = 52.0, 34.0
_SCRIPT = Path(__file__).parents[1] / "pages" / "turntable.js"
_STYLE = (
    "#{key} canvas{{width:100%;height:{height}px;touch-action:none;cursor:grab;display:block}}"
    "#{key} canvas:focus-visible{{outline:2px solid #2a6f97}}"
    "#{key}{{max-width:{width}px;margin:0}}#{key} label{{display:flex;gap:.6em;align-items:center}}"
    "#{key} input{{flex:1}}@media print{{#{key} .live{{display:none}}#{key} .still{{display:block!important}}}}"
)


def turntable(report: FoldReport, *, key: str = "turntable", width: int = 480, height: int = 360) -> str:
    """Make the piece of HTML.

    Parameters
    ----------
    key
        Id of the figure; letters, digits and hyphens, its own in each page.
    width, height
        Of the canvas, CSS pixels.

    Returns
    -------
    str
        A figure with style, still picture, canvas, slider, data and script.

    Raises
    ------
    ValueError
        When the key is not fit for an id.
    """
    if not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", key):
        raise ValueError(f"the key {key!r} is no id")
    name = escape(report.name)
    script = f'{_SCRIPT.read_text(encoding="utf-8")}turntable(window, "{key}");'
    # "<" would let a name end the script element early.
    data = json.dumps(turntable_data(report, width, height), allow_nan=False, separators=(",", ":")).replace(
        "<", "\\u003c"
    )
    label = (
        f"{name}, folded: {escape(report.verdict.value)}. Drag or press the arrow keys to turn it, "
        "plus and minus to fold it, Home to look from the front again."
    )
    style = _STYLE.format(key=key, width=width, height=height)
    slider = f'<input type="range" min="0" max="100" value="100" aria-label="Fold {name}">'
    caption = (
        f"{name}: drag to turn, move the slider to fold. The way between flat and folded is a picture, "
        "no proof that card can pass that way."
    )
    rows = (
        f'<figure id="{key}" class="turntable">',
        f"<style>{style}</style>",
        f'<div class="still">{folded_picture(report, width=120.0, key=f"{key}-still")}</div>',
        '<div class="live" hidden>',
        f'<canvas tabindex="0" role="img" aria-label="{label}"></canvas>',
        f"<label>flat {slider} folded</label> <output></output>",
        "</div>",
        f"<figcaption>{caption}</figcaption>",
        f'<script type="application/json" id="{key}-data">{data}</script>',
        f"<script>{script}</script>",
        "</figure>",
    )
    return "\n".join(rows)


def turntable_data(report: FoldReport, width: int, height: int) -> dict[str, object]:
    """What the script draws: panels, what they hang on, the angles on the way, and how the part is looked at.

    Parameters
    ----------
    width, height
        Of the canvas, CSS pixels.
    """
    tree, motion = tree_of(report), report.motion
    targets = {f.panel: -1 if f.target is None else f.target for f in report.flaps}
    count = len(report.panels)
    via = motion.via if motion is not None else np.full(count, -1)
    degrees = motion.angles if motion is not None else np.zeros((2, 0))
    above = np.column_stack((degrees, np.zeros(len(degrees))))[:, via]
    panels = []
    for k, panel in enumerate(report.panels):
        hinge = [0.0] * 4
        if tree is not None and tree.hinge[k] >= 0:
            hinge = [*tree.origin[k, :2].tolist(), *tree.axis[k, :2].tolist()]
        panels.append(
            {
                "name": panel.name,
                "role": panel.role.value.split()[0],
                "outline": _rounded(panel.outline[:-1]),
                "holes": [_rounded(h[:-1]) for h in panel.holes],
                "triangles": _triangles(panel),
                "mark": _rounded(np.array([panel.inner_point]))[0],
                "parent": int(tree.parent[k]) if tree is not None else -1,
                "hinge": [round(v, 7) for v in hinge],
                "target": targets.get(k, -1),
            }
        )
    # Open boxes are looked into; anything else is seen a little from above, so that its top shows.
    azimuth, elevation = best_azimuth(report), _INTO if report.open_sides else _ONTO
    return {
        "name": report.name,
        "panels": panels,
        "order": motion.order.tolist() if motion is not None else list(range(count)),
        "fractions": motion.fractions.tolist() if motion is not None else [0.0, 1.0],
        "angles": np.round(above, 5).tolist(),
        "axes": np.round(upright_axes(report), 9).tolist(),
        "azimuth": azimuth,
        "elevation": elevation,
        "insideUp": bool(report.inside_up),
        "same": round(same_plane(report), 3),
        "colours": {role.value.split()[0]: pair for role, pair in COLOURS.items()},
        "reach": _reach(report),
        "width": width,
        "height": height,
    }


def upright_axes(report: FoldReport) -> Points:
    """Axes round which the eye travels, as rows: two level ones and the upright; (3, 3), unit vectors."""
    right, up, towards = camera(report.up, 0.0, 0.0)
    return np.array([towards, right, up])


def _rounded(points: Points) -> list[list[float]]:
    return [[round(float(v), 3) + 0.0 for v in p] for p in points]


def _triangles(panel: Panel) -> list[list[list[float]]]:
    shape = shapely.Polygon(panel.outline, panel.holes)
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(shape))
    return [_rounded(shapely.get_coordinates(p)[:3]) for p in parts]


def _reach(report: FoldReport) -> float:
    """Size of the part, flat or folded, mm."""
    if not report.panels:
        return 1.0
    sizes = [float(np.ptp(np.concatenate(pose(report, f)), axis=0).max()) for f in (0.0, 1.0)]
    return max(*sizes, 1.0)
