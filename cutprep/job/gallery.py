"""Every kind of template to choose from: a picture flat and folded, and its dimensions with the letters of the picture.

Where a dimension lies on a drawing is found by drawing it once more with a little more of it: two corners whose distance is the
dimension, and grows as it does. So no kind has to say it, and a letter never stands where its dimension is not.
"""

from __future__ import annotations

import re
import string
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.errors import JobError
from cutprep.job.loading import fold_up
from cutprep.model.drawing import Drawing
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Points
from cutprep.report.page import render
from cutprep.report.pictures.folded import folded_picture
from cutprep.report.pictures.lettering import SMALL, Labels
from cutprep.report.pictures.sheet import line_class, number, path_data, style_rules
from cutprep.template.dimensions import Dimension
from cutprep.template.kind import KindOfTemplate
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance

#: How much more of a dimension is drawn, mm.
_MORE = 0.5
#: A drawn distance may differ from its dimension by this, for layers of card, mm.
_LAYERS = 1.2
#: Distances that grow alike differ by less, mm.
_SAME = 1e-6  # not a tolerance: rounding of coordinates
#: More corners than this belong to lace; the first ones do.
_MOST_CORNERS = 240
_CALIPER = 0.3
#: A distance below this can't be seen in a picture, mm.
_LEAST = 1.0
#: Largest sides of both pictures together and the room around them, mm.
_WIDE, _HIGH, _ROOM = 92.0, 78.0, 5.0
_USUAL = {"length": "L", "width": "W", "height": "H"}


@dataclass(frozen=True, slots=True)
class GalleryField:
    """One dimension of a kind.

    Attributes
    ----------
    name, meaning
        Its key, and one line for a person.
    letter
        Where it stands in the picture; empty when it is no distance there.
    default, least, most
        As they are typed; limits are empty for words and texts.
    choices
        Words to choose from.
    """

    name: str
    meaning: str
    letter: str
    default: str
    least: str = ""
    most: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GalleryEntry:
    """One kind of template.

    Attributes
    ----------
    name, title
        Its key, and one line for a person.
    picture
        SVG that stands alone: flat with letters, and folded where it folds.
    fields
        Its own dimensions.
    extras
        Those of what can be added to its faces.
    folds
        Whether it is shown folded too.
    """

    name: str
    title: str
    picture: str
    fields: tuple[GalleryField, ...]
    extras: tuple[GalleryField, ...] = ()
    folds: bool = False


def gallery() -> tuple[GalleryEntry, ...]:
    """Draw every kind with its usual dimensions."""
    return tuple(_entry(kind) for kind in KINDS.values())


def _entry(kind: KindOfTemplate) -> GalleryEntry:
    drawing = kind.from_values()
    spots = {d.name: spot for d in kind.dimensions if (spot := _measured(kind, d, drawing)) is not None}
    letters = _letters([d.name for d in kind.dimensions if d.name in spots])
    reports, _ = fold_up(drawing, _CALIPER, Tolerance())
    marked = [(letters[name], *spots[name]) for name in letters]
    own = tuple(_field(d, letters.get(d.name, "")) for d in kind.dimensions)
    extras = tuple(_field(d, "") for d in kind.all_dimensions[len(own) :])
    picture = _picture(kind.title, drawing, marked, reports)
    return GalleryEntry(kind.name, kind.title, picture, own, extras, any(r.hinges for r in reports))


def _field(d: Dimension, letter: str) -> GalleryField:
    limits = ("", "") if d.choices or d.text else (d.say(d.least), d.say(d.most))
    return GalleryField(d.name, d.meaning, letter, d.say(d.default), *limits, d.choices)


def gallery_page(kinds: Sequence[GalleryEntry]) -> str:
    """A page that shows every kind; each picture lies beside it as KIND.svg."""
    shown = [{"name": k.name, "title": k.title, "own": k.fields, "folds": k.folds} for k in kinds]
    return render("gallery.html", kinds=shown)


def _letters(names: Sequence[str]) -> dict[str, str]:
    """A letter for each dimension: L, W and H as everywhere, then one of its own name, then any."""
    found: dict[str, str] = {}
    for name in sorted(names, key=lambda one: one not in _USUAL):
        wanted = [_USUAL.get(name, ""), *name.replace("-", ""), *string.ascii_lowercase]
        found[name] = next(letter for letter in wanted if letter and letter not in found.values())
    return {name: found[name] for name in names}


def _measured(kind: KindOfTemplate, d: Dimension, drawing: Drawing) -> tuple[Points, Points] | None:
    """Two corners whose distance is a dimension, (2,) mm each; None where there are none."""
    if not d.plain or d.default < _LEAST:
        return None
    for more in (_MORE, -_MORE):
        try:
            other = kind.from_values(**{d.name: d.default + more})
        except JobError:
            continue
        if len(other.lines.xy) == len(drawing.lines.xy):
            return _pair(drawing, other, d.default, more)
    return None


def _pair(drawing: Drawing, other: Drawing, value: float, more: float) -> tuple[Points, Points] | None:
    """The pair of corners that shows a dimension best: along an edge, level or upright, nearest to its value."""
    lines = drawing.lines
    rows = np.flatnonzero(~lines.curved)[:_MOST_CORNERS]
    owner = np.repeat(np.arange(len(lines)), lines.counts)[rows]
    a, b = lines.xy[rows], other.lines.xy[rows]
    i, j = np.triu_indices(len(rows), 1)
    before, after = (np.hypot(*(p[j] - p[i]).T) for p in (a, b))
    shows = (np.abs(after - before - more) < _SAME) & (np.abs(before - value) < _LAYERS)
    if not shows.any():
        return _depth(a, b, value, more)
    i, j, off = i[shows], j[shows], np.abs(before[shows] - value)
    edge = (owner[i] == owner[j]) & (np.abs(rows[i] - rows[j]) == 1)
    square = (np.abs(a[j] - a[i]) < _SAME).any(axis=1)
    outer = -(np.abs((a[i] + a[j]) / 2 - a.mean(axis=0)).max(axis=1))
    best = np.lexsort((outer, off.round(3), ~edge, ~square))[0]
    return a[i[best]], a[j[best]]


def _depth(a: Points, b: Points, value: float, more: float) -> tuple[Points, Points] | None:
    """Two ends of a depth that no edge shows, such as that of a slanted flap: level or upright between corners."""
    i, j = np.triu_indices(len(a), 1)
    found: list[tuple[float, Points, Points]] = []
    for axis in (0, 1):
        before, after = (np.abs(p[j, axis] - p[i, axis]) for p in (a, b))
        shows = (np.abs(after - before - more) < _SAME) & (np.abs(before - value) < _SAME)
        aside = np.where(shows, np.abs(a[j, 1 - axis] - a[i, 1 - axis]), np.inf)
        best = int(aside.argmin()) if len(aside) else 0
        if len(aside) and np.isfinite(aside[best]):
            end = a[j[best]].copy()
            end[1 - axis] = a[i[best], 1 - axis]
            found.append((float(aside[best]), a[i[best]], end))
    return min(found, key=lambda row: row[0])[1:] if found else None


def _picture(
    title: str,
    drawing: Drawing,
    marked: Sequence[tuple[str, Points, Points]],
    reports: Sequence[FoldReport],
) -> str:
    """Flat on the left, folded on the right."""
    folding = [report for report in reports if report.hinges][:2]
    width, height = drawing.page or (1.0, 1.0)
    size = min(_WIDE / width, _HIGH / height)
    flat, tall = (width * size, height * size)
    labels = Labels()

    def placed(points: Points) -> Points:
        return np.asarray(points * (size, -size) + (_ROOM, tall + _ROOM))

    lines = drawing.lines
    body = [
        f'<path class="{line_class(op, fold)}" d="{path_data(placed(lines.points(i)))}"/>'
        for i, (op, fold) in enumerate(zip(lines.operation.tolist(), lines.fold.tolist(), strict=True))
    ]
    for letter, p, q in marked:
        ends = placed(np.array([p, q]))
        body.append(f'<path class="turned" d="{path_data(ends)}"/>')
        x, y = ends.mean(axis=0).tolist()
        if not labels.put_beside(x, y, letter, size=SMALL * 1.3, name="panel"):
            labels.put(x, y, letter, size=SMALL * 1.3, name="panel")
    wide, right = flat + 2 * _ROOM, 0.0
    each = (tall + 2 * _ROOM) if not folding else max(40.0, (tall + 2 * _ROOM) / len(folding))
    shown = []
    for k, report in enumerate(folding):
        shown.append(_within(folded_picture(report, key=f"fold-{k}"), wide, k * each, 80.0, each))
        right = 80.0
    high = max(tall + 2 * _ROOM, each * len(folding))
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(wide + right)}mm" height="{number(high)}mm" '
        f'viewBox="0 0 {number(wide + right)} {number(high)}" role="img" aria-label="{title}">'
    )
    style = f"<style>{style_rules()}\n.map path.turned{{stroke:#2a5d80;stroke-width:.9}}</style>"
    card = f'<rect width="{number(wide + right)}" height="{number(high)}" fill="#fffdf8"/>'
    flat_view = [
        '<g class="map">',
        *body,
        *labels.rows,
        "</g>",
    ]  # its styles would take the fill of folded panels away
    return "".join([head, style, card, *flat_view, *shown, "</svg>"])


def _within(svg: str, x: float, y: float, width: float, height: float) -> str:
    """A picture inside another one, as large as its place allows."""
    title = re.search(r"<title>(.*?)</title>", svg)
    if title is not None:  # the same words stand over it, too long for a small picture
        svg = re.sub(rf"<text[^>]*>{re.escape(title[1])}</text>", "", svg, count=1)
    place = f'x="{number(x)}" y="{number(y)}" width="{number(width)}" height="{number(height)}"'
    return re.sub(r"width='[^']*' height='[^']*'", place, svg, count=1)
