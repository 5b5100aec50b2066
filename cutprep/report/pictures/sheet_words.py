"""What stands on and round the picture of a sheet: which copy is which, the turn of each outline, and how it is loaded.

Texts are sized for the printed page: the picture's coordinates are millimetres of the sheet, so a
text of the smallest size is larger by as much as the page is smaller than the sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.model.lines import Points
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.model.sheet import Sheet
from cutprep.profile.machine import Machine
from cutprep.report.pictures.lettering import SMALL, Labels, box_of
from cutprep.units import say_length

#: Room round the sheet for words, in print, mm: left and right, above, below.
SIDE, ABOVE, BELOW = 6.0, 8.5, 13.0
#: The page inside its margins, with heading, facts and tables beside the picture, for A4 and letter, mm.
_PAGE = (184.0, 158.0)
#: Largest text on a copy, in print, mm; with more copies or parts on a sheet they are told by the slider only.
_LARGEST, _MOST_NAMES = 6.0, 400
#: Places along each side of a grid on which room for a name is looked for, and how many grids.
_ACROSS, _FINER = 17, 4
#: Nearer than this the machine's zero is the sheet's corner, mm.
_CORNER = 0.5


@dataclass(frozen=True, slots=True)
class Loading:
    """How a sheet goes into the machine.

    Attributes
    ----------
    zero
        Where the machine's own zero is, mm on the sheet; None when it is not known.
    edge
        Edge that goes in first, or "" for none.
    face_down
        The card lies with its back up.
    """

    zero: tuple[float, float] | None = None
    edge: str = ""
    face_down: bool = False

    @property
    def side(self) -> str:
        """Which side is seen."""
        return "back of the card up" if self.face_down else "this side up"


def loading(machine: Machine, *, face_down: bool) -> Loading:
    """Tell how sheets go into a machine."""
    vertical, horizontal = machine.origin.split("-")
    zero = (machine.width if horizontal == "right" else 0.0, machine.height if vertical == "upper" else 0.0)
    return Loading(zero, machine.leading_edge, face_down)


def print_scale(sheet: Sheet) -> float:
    """How much smaller than the sheet its picture is in print; never larger."""
    return min(1.0, (_PAGE[0] - 2 * SIDE) / sheet.width, (_PAGE[1] - ABOVE - BELOW) / sheet.height)


def print_size(sheet: Sheet) -> tuple[float, float]:
    """Width and height of a sheet's picture in print, mm."""
    k = print_scale(sheet)
    return round(sheet.width * k + 2 * SIDE, 2), round(sheet.height * k + ABOVE + BELOW, 2)


def names(sheet: Sheet, labels: Labels, marks: Sequence[str], small: float) -> None:
    """The name of each copy on each of its parts, where it covers no line if there is room.

    Parameters
    ----------
    sheet
        Whose copies are named.
    labels
        Takes the words.
    marks
        Letter of each template; empty when there is one.
    small
        Height of the letters, mm.
    """
    parts = [len(t.parts) for t in sheet.templates]
    if sum(1 if p.part is not None else max(1, parts[p.template]) for p in sheet.placements) > _MOST_NAMES:
        return
    spots = {id(t): [_roomy(t, part) for part in t.parts] for t in sheet.templates}
    for spot in sheet.placements:
        template = sheet.templates[spot.template]
        mark = marks[spot.template] if marks else ""
        name = f"{mark}{spot.copy}"
        positions = [p for k, p in enumerate(spots[id(template)]) if spot.part in (None, k)]
        if not positions:
            positions = [(np.array(template.size) / 2, min(template.size) / 4)]
        for middle, room in positions:
            x, y = spot.matrix @ np.append(middle, 1.0)
            wide = box_of(0, 0, name, 1.0)[2]
            size = float(np.clip(0.9 * room / max(wide, 0.7), small, _LARGEST / SMALL * small))
            labels.put_beside(float(x), sheet.height - float(y), name, size=round(size, 2), name="copy")


def _roomy(template: Template, part: Part) -> tuple[Points, float]:
    """The middle of the largest clear circle of a part that is found, and its radius, mm.

    Places on ever finer grids about the best one so far; an index over all chords gives each its room, so that
    lace of many thousand lines takes no longer for each of them than a plain part.
    """
    lines = template.lines
    shape = shapely.Polygon(lines.points(part.outline), [lines.points(h) for h in part.holes])
    shape = shape if shape.is_valid else shape.buffer(0)  # which takes ten times as long
    if shape.is_empty:
        return lines.points(part.outline).mean(axis=0), 0.0
    shown = [i for i in part.inner if lines.operation[i] != Operation.GUIDE]
    drawn = [lines.points(i) for i in (part.outline, *part.holes, *shown)]
    chords = np.concatenate([np.stack((points[:-1], points[1:]), axis=1) for points in drawn])
    tree = shapely.STRtree(np.asarray(shapely.linestrings(chords)))
    shapely.prepare(shape)
    best, room = np.asarray(shape.representative_point().coords[0]), 0.0
    low, high = np.array(shape.bounds).reshape(2, 2)
    for _ in range(_FINER):
        places = np.stack(
            np.meshgrid(*(np.linspace(a, b, _ACROSS) for a, b in zip(low, high, strict=True))), axis=-1
        ).reshape(-1, 2)
        places = places[shapely.contains_xy(shape, places)]
        if len(places):
            _, away = tree.query_nearest(shapely.points(places), return_distance=True, all_matches=False)
            if away.max() > room:
                best, room = places[int(away.argmax())], float(away.max())
        step = (high - low) / (_ACROSS - 1)
        low, high = best - step, best + step
    return best, room


def around(
    sheet: Sheet, labels: Labels, told: Loading, grain: float | None, unit: str, small: float
) -> list[str]:
    """What a person needs with the card in hands: side, grain, edge that goes in first, zero, a scale.

    Parameters
    ----------
    sheet
        Whose edges these are.
    labels
        Takes the words.
    told
        How the sheet is loaded.
    grain
        Degrees from x; None when the card has none.
    unit
        Of the scale bar: "mm" or "in".
    small
        Height of the letters, mm.
    """
    k = small / SMALL
    top, low = -4.0 * k, sheet.height + 4.5 * k
    _beside(labels, small * 0.2, top, told.side, small, begin=True)
    rows = _grain(sheet, labels, grain, top, small)
    rows += _bar(labels, unit, low + 4.8 * k, small)
    rows += _zero(sheet, labels, told.zero, unit, small)
    rows += _edge(sheet, labels, told.edge, small)
    return rows


def _beside(
    labels: Labels, x: float, y: float, text: str, size: float, *, begin: bool, name: str = ""
) -> None:
    """A text that begins (or ends) at a place, moved aside along its line while another is there."""
    half = box_of(0, 0, text, size)[2]
    step = half / 2 if begin else -half / 2
    at = x + half if begin else x - half
    for _ in range(24):
        if labels.free(box_of(at, y, text, size)):
            break
        at += step
    labels.put(at, y, text, size=size, name=name)


def _grain(sheet: Sheet, labels: Labels, grain: float | None, y: float, small: float) -> list[str]:
    k = small / SMALL
    if grain is None:
        _beside(labels, sheet.width, y, "grain not stated", small, begin=False)
        return []
    x, half, head = sheet.width - 3.2 * k, 2.8 * k, 1.1 * k
    labels.keep_clear((x - half, y - half, x + half, y + half))
    _beside(labels, x - half - k, y, "grain", small, begin=False)
    arrow = (
        f"M{-half:.2f} 0H{half:.2f}M{head - half:.2f} {-head:.2f}L{-half:.2f} 0L{head - half:.2f} {head:.2f}"
        f"M{half - head:.2f} {-head:.2f}L{half:.2f} 0L{half - head:.2f} {head:.2f}"
    )
    return [
        (
            f'<g transform="translate({x:.2f} {y:.2f}) rotate({-grain:g})"><path class="arrow" '
            f'style="stroke-width:{0.35 * k:.2f}" d="{arrow}"/></g>'
        )
    ]


def _bar(labels: Labels, unit: str, y: float, small: float) -> list[str]:
    """A bar below the sheet that is as long as it says, at whatever size the picture is printed."""
    length, word = (50.8, "2 in") if unit == "in" else (50.0, "50 mm" if unit == "mm" else "5 cm")
    k = small / SMALL
    labels.keep_clear((0.0, y - k, length, y + k))
    _beside(labels, length + 1.5 * k, y, word, small, begin=True)
    return [
        (
            f'<path class="bar" style="stroke-width:{0.35 * k:.2f}" d="M0 {y - k:.2f}v{2 * k:.2f}M0 {y:.2f}H{length:g}'
            f'M{length:g} {y - k:.2f}v{2 * k:.2f}"/>'
        )
    ]


def _zero(
    sheet: Sheet, labels: Labels, zero: tuple[float, float] | None, unit: str, small: float
) -> list[str]:
    """The machine's zero: at a corner of the sheet, or how far from it."""
    if zero is None:
        return []
    k = small / SMALL
    x, y = min(zero[0], sheet.width), min(zero[1], sheet.height)
    off = [
        f"{say_length(far, unit)} further {word}"
        for far, word in ((zero[0] - x, "right"), (zero[1] - y, "up"))
        if far > _CORNER
    ]
    text = f"machine zero{': ' if off else ''}{', '.join(off)}"
    below = y < sheet.height / 2
    row = sheet.height + 4.5 * k if below else -4.0 * k
    begin = x < sheet.width / 2
    _beside(labels, 2.4 * k if begin else sheet.width - 2.4 * k, row, text, small, begin=begin, name="zero")
    mark, arm = sheet.height - y, 1.8 * k
    return [
        (
            f'<path class="zero" style="stroke-width:{0.4 * k:.2f}" d="M{x - arm:.2f} {mark:.2f}h{2 * arm:.2f}M{x:.2f} '
            f'{mark - arm:.2f}v{2 * arm:.2f}"/><circle class="zero" style="stroke-width:{0.4 * k:.2f}" cx="{x:.2f}" '
            f'cy="{mark:.2f}" r="{k:.2f}"/>'
        )
    ]


def _edge(sheet: Sheet, labels: Labels, edge: str, small: float) -> list[str]:
    """A heavy bar along the edge that goes in first, and the words."""
    if not edge:
        return []
    k, w, h = small / SMALL, sheet.width, sheet.height
    text, bar = "this edge goes in first", f"stroke-width:{1.1 * k:.2f}"
    away = 1.0 * k
    if edge in ("left", "right"):
        x = -away if edge == "left" else w + away
        labels.put(
            x + (-2.6 * k if edge == "left" else 2.6 * k), h / 2, text, size=small, turned=True, name="edge"
        )
        return [f'<path class="first" style="{bar}" d="M{x:.2f} 0V{h:.2f}"/>']
    y, row = (h + away, h + 4.5 * k) if edge == "lower" else (-away, -4.0 * k)
    half = box_of(0, 0, text, small)[2]
    positions = [(w / 2 + s * half / 4, row) for s in (0, 1, -1, 2, -2, 3, -3, 4, -4)]
    if not labels.try_at(positions, text, size=small, name="edge"):
        labels.put(w / 2, row + (9.0 if edge == "lower" else -3.4) * k, text, size=small, name="edge")
    return [f'<path class="first" style="{bar}" d="M0 {y:.2f}H{w:.2f}"/>']
