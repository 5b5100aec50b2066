"""The picture of a sheet: what is cut, scored and drawn where, in which order, with travel.

Every operation has its own dash and width beside its colour, so that the picture reads the
same on a black-and-white printer and for eyes that tell colours differently. Strokes come in
groups in working order, which the job sheet's slider shows one after the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

import numpy as np
import shapely

from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Fold, Operation
from cutprep.model.sheet import Sheet
from cutprep.report.outcome import Outcome, SheetOutcome
from cutprep.report.pictures.lettering import SMALL, Labels
from cutprep.report.pictures.paths import number, pairs, path_data, paths_data
from cutprep.report.pictures.sheet_words import ABOVE, BELOW, SIDE, Loading, around, names, print_scale
from cutprep.units import letters

#: Class of a line to stroke colour, width and dashes in mm. A score dashed and a mountain with two
#: dots is common practice among paper folders, no published source; the colours are our own.
LINE_STYLES: dict[str, tuple[str, float, str]] = {
    "cut": ("#2b2118", 0.55, ""),
    "partial-cut": ("#2b2118", 0.4, "6 1.2"),
    "perforate": ("#00695f", 0.5, "0.6 1.4"),
    "score": ("#8a5300", 0.45, "3 1.5"),
    "valley": ("#8a5300", 0.45, "3 1.5"),
    "mountain": ("#8a5300", 0.45, "4 1 0.5 1 0.5 1"),
    "behind": ("#8a5300", 0.25, "2.4 0.8 0.8 0.8"),
    "draw": ("#6b3f8f", 0.3, ""),
    "guide": ("#6f6a63", 0.2, "1 2"),
    "print": ("#44607a", 0.2, ""),
    "travel": ("#5d6a75", 0.18, "0.4 1.2"),
}
WORDS = {
    "cut": "cut",
    "partial-cut": "cut part deep",
    "perforate": "perforate",
    "score": "score",
    "valley": "score, valley fold",
    "mountain": "score, mountain fold",
    "behind": "scored from the back",
    "draw": "draw",
    "travel": "travel, tool up",
}
_MOST_STEPS = 240
#: A stroke is a part's outline when the middles of both are no further apart than this, mm.
_SAME_MIDDLE = 0.5
#: With more outlines than this on a sheet their order is left to the slider.
MOST_MARKS = 60


@cache
def line_class(operation: int, fold: int) -> str:
    """Name of the style of a line."""
    if operation == Operation.SCORE and fold:
        return Fold(fold).name.lower()
    return Operation(operation).word


def style_rules() -> str:
    """The styles as CSS, for a page or a picture that stands alone."""
    rows = [".map path{fill:none;stroke-linejoin:round;stroke-linecap:butt}"]
    for name, (colour, width, dash) in LINE_STYLES.items():
        dashes = f";stroke-dasharray:{dash}" if dash else ""
        rows.append(f".map .{name}{{stroke:{colour};stroke-width:{width}{dashes}}}")
    return "\n".join([*rows, _PICTURES])


#: What pictures have beside their lines. Letters have a rim in the card's colour, so that a line below
#: them is interrupted and not rubbed out.
_PICTURES = """\
.map text,.step-picture text{font-family:"DejaVu Sans",Verdana,system-ui,sans-serif;fill:#2b2118;text-anchor:middle;\
paint-order:stroke;stroke:#fffdf8;stroke-width:.6px;stroke-linejoin:round}
.map .free{fill:#e4ded3;stroke:#8d8478;stroke-width:.3;stroke-dasharray:1 1}
.map .begin{fill:#9b1c1c}
.map text.panel{font-weight:700;fill:#2a5d80}
.map text.score-number,.map text.turn{fill:#8a3a00}
.map text.turn{fill:#9b1c1c}
.map text.copy{font-weight:700}
.map text.edge{font-weight:700}
.map .sheet-card{fill:#fffdf8;stroke:#8d8478;stroke-width:.4}
.map path.arrow,.map path.bar,.map path.zero{stroke:#2b2118}
.map circle.zero{fill:none;stroke:#2b2118}
.map path.first{stroke:#2a5d80}
.map .tick{stroke:#8a3a00;stroke-width:.3}
.map .measure,.map .leader{stroke:#2b2118;stroke-width:.2}
.step-picture path{fill:none;stroke-linejoin:round}
.step-picture .card{fill:#f4ead6;stroke:#4a4238;stroke-width:.22}
.step-picture .lit{fill:#f2c35b;stroke:#2b2118;stroke-width:.3}
.step-picture .pale{stroke:#a79c8a;stroke-width:.22}
.step-picture .cut{stroke:#2b2118;stroke-width:.6}
.step-picture .score,.step-picture .valley{stroke:#8a5300;stroke-width:.5;stroke-dasharray:2 1}
.step-picture .mountain{stroke:#8a5300;stroke-width:.5;stroke-dasharray:2.6 .8 .5 .8}
.step-picture .perforate{stroke:#00695f;stroke-width:.5;stroke-dasharray:.5 1}"""


def template_marks(outcome: Outcome) -> tuple[str, ...]:
    """A letter for each template: copies are A1, A2 ..., so that they are no turns and not those of another."""
    return tuple(letters(i) for i in range(len(outcome.templates)))


def sheet_marks(outcome: Outcome, done: SheetOutcome) -> tuple[str, ...]:
    """The letters of the templates on one sheet, in the sheet's own order."""
    known = {
        (t.name, t.stock.name): mark
        for t, mark in zip(outcome.templates, template_marks(outcome), strict=True)
    }
    return tuple(known.get((t.name, done.stock.name), "") for t in done.sheet.templates)


def room_round(sheet: Sheet) -> tuple[float, float, float]:
    """Room that the picture of a sheet has beside, above and below it, mm of the sheet."""
    size = print_scale(sheet)
    return SIDE / size, ABOVE / size, BELOW / size


def sheet_map(
    done: SheetOutcome,
    *,
    told: Loading | None = None,
    alone: bool = False,
    marks: Sequence[str] = (),
    unit: str = "mm",
) -> str:
    """Draw a sheet as SVG.

    Parameters
    ----------
    done
        The sheet.
    told
        How it goes into the machine.
    alone
        The picture stands in a file of its own, at real size: styles and namespace are put in.
    marks
        A letter for each template of the sheet, put before the numbers of its copies.
    unit
        Of the lengths in the picture.

    Returns
    -------
    str
        One SVG element; its coordinates are mm of the sheet, its width and height those in print.
    """
    sheet = done.sheet
    size = print_scale(sheet)
    small = round(SMALL / size, 2)
    side, above, below = room_round(sheet)
    wide, high = sheet.width + 2 * side, sheet.height + above + below
    width, height = number(sheet.width), number(sheet.height)
    shown = 1.0 if alone else size
    head = (
        f'<svg id="map-{sheet.number}" class="map sheet-map" width="{number(wide * shown)}mm" height="{number(high * shown)}mm" '
        f'viewBox="{number(-side)} {number(-above)} {number(wide)} {number(high)}" role="img"'
    )
    if alone:
        head += ' xmlns="http://www.w3.org/2000/svg"'
    copies = f"{len(sheet.placements)} cop{'y' if len(sheet.placements) == 1 else 'ies'}"
    label = f"Sheet {sheet.number}: {copies} on {width} by {height} mm"
    parts = [f'{head} aria-label="{label}">']
    if alone:
        parts.append(f"<style>{style_rules()}</style>")
        parts.append(
            f'<rect x="{number(-side)}" y="{number(-above)}" width="100%" height="100%" fill="#fffdf8"/>'
        )
    parts.append(f'<rect class="sheet-card" x="0" y="0" width="{width}" height="{height}"/>')
    parts.append(f'<g transform="matrix(1 0 0 -1 0 {height})">')
    parts.extend(
        f'<path class="free" d="{path_data(outline)}"><title>kept free</title></path>'
        for outline in sheet.kept_free
    )
    if done.back is not None:
        data = "".join(path_data(line.points) for line in done.back.scores)
        parts.append(f'<path class="behind" d="{data}"/>')
    parts.extend(_steps(done))
    parts.append("</g>")
    labels = Labels()
    parts += around(sheet, labels, told or Loading(), done.stock.grain, unit, small)
    begins = outlines_in_order(done) if int(done.strokes.outline.sum()) <= MOST_MARKS else []
    spots = [(float(point[0]), sheet.height - float(point[1])) for point, _ in begins]
    for x, y in spots:
        dot = small * 0.3
        labels.keep_clear((x - dot, y - dot, x + dot, y + dot))
        parts.append(f'<circle class="begin" cx="{number(x)}" cy="{number(y)}" r="{number(dot)}"/>')
    for turn, (x, y) in enumerate(spots, 1):
        labels.put_beside(x + small * 0.75, y - small * 0.75, str(turn), size=small, name="turn")
    names(sheet, labels, marks, small)
    return "".join([*parts, *labels.rows, "</svg>"])


def legend(lines: Iterable[Lines], *, behind: bool = False) -> list[tuple[str, str]]:
    """Style names and words of the operations that occur, in a fixed order; `behind`: some are made from the back."""
    seen = {"travel", "behind"} if behind else {"travel"}
    for some in lines:
        seen |= {
            line_class(op, fold) for op, fold in zip(some.operation.tolist(), some.fold.tolist(), strict=True)
        }
    return [(name, word) for name, word in WORDS.items() if name in seen]


def _steps(done: SheetOutcome) -> list[str]:
    """Groups of strokes in working order, each with the travel that leads to it."""
    lines = done.strokes.lines
    count = min(len(lines), _MOST_STEPS)
    if not len(lines):
        return []
    home = pairs(np.array([done.strokes.home], np.float64))
    heads, tails = pairs(lines.xy[lines.start[:-1]]), pairs(lines.xy[lines.start[1:] - 1])
    travels = [f"M{a}L{b}" for a, b in zip(home + tails, heads + home, strict=True)]
    codes = zip(lines.operation.tolist(), lines.fold.tolist(), strict=True)
    drawn = [
        (line_class(*code), data) for code, data in zip(codes, paths_data(lines.xy, lines.start), strict=True)
    ]
    groups = []
    for rows in np.array_split(np.arange(len(lines)), count):
        first, last = int(rows[0]), int(rows[-1]) + 1
        by_class: dict[str, list[str]] = {}
        for name, data in drawn[first:last]:
            by_class.setdefault(name, []).append(data)
        body = [f'<path class="travel" d="{"".join(travels[first:last])}"/>']
        body += [f'<path class="{name}" d="{"".join(data)}"/>' for name, data in by_class.items()]
        groups.append(f'<g class="step">{"".join(body)}</g>')
    groups.append(f'<g class="step"><path class="travel" d="{travels[-1]}"/></g>')
    return groups


def outlines_in_order(done: SheetOutcome) -> list[tuple[Points, int | None]]:
    """Where the cut of each outline begins, in working order, and the placement that it frees; points (2,) mm."""
    lines = done.strokes.lines
    rows = np.flatnonzero(done.strokes.outline).tolist()
    middles, owners = [], []
    for k, placement in enumerate(done.sheet.placements):
        template = done.sheet.templates[placement.template]
        for i, part in enumerate(template.parts):
            if placement.part in (None, i):
                points = (
                    template.lines.points(part.outline) @ placement.matrix[:, :2].T + placement.matrix[:, 2]
                )
                middles.append((points.min(axis=0) + points.max(axis=0)) / 2)
                owners.append(k)
    outlines = [lines.points(row) for row in rows]
    if not middles or not rows:
        return [(line[0], None) for line in outlines]
    sought = np.array([(line.min(axis=0) + line.max(axis=0)) / 2 for line in outlines])
    known = np.array(middles)
    row, near = shapely.STRtree(np.asarray(shapely.points(known))).query(
        shapely.points(sought), predicate="dwithin", distance=_SAME_MIDDLE
    )
    far = np.hypot(*(known[near] - sought[row]).T)
    freed: dict[int, int] = {}
    for k in np.lexsort((near, far, row)).tolist():
        if far[k] < _SAME_MIDDLE:
            freed.setdefault(int(row[k]), owners[int(near[k])])
    return [(line[0], freed.get(k)) for k, line in enumerate(outlines)]
