"""The picture of a piece lying flat: its lines, its size, where the scores sit, letters of its panels.

Drawn in millimetres of the printed page, at real size where it fits and else at a scale that
stands below it. Scores have numbers, panels letters.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Points
from cutprep.report.hands.scores import ScoreRow
from cutprep.report.hands.steps import PieceWork
from cutprep.report.pictures.lettering import SMALL, Labels, along, box_of
from cutprep.report.pictures.paths import number, paths_data
from cutprep.report.pictures.sheet import line_class, style_rules

#: Scales, the first one that fits is taken: real size, three quarters, half ...
_SCALES = ((1, 1), (3, 4), (2, 3), (1, 2), (2, 5), (1, 3), (1, 4), (1, 5), (1, 8), (1, 10), (1, 20))
#: Room round the piece for numbers and sizes, and for a mark at the edge, mm.
_PAD, _TICK = 14.0, 1.6
#: Largest picture beside the table of scores on a card that is one page, mm; the card's steps stand five in a row.
_WIDE, _HIGH, _PAGE, _ROW = 86.0, 122.0, 216.0, 54.0


def scale_of(size: tuple[float, float], limit: tuple[float, float]) -> tuple[int, int]:
    """The largest scale at which a piece and what stands round it fit, as two numbers."""
    room = (limit[0] - _PAD - 3, limit[1] - _PAD - 3)
    fitting = (s for s in _SCALES if all(v * s[0] / s[1] <= r for v, r in zip(size, room, strict=True)))
    return next(fitting, (1, max(30, *(int(np.ceil(v / r)) for v, r in zip(size, room, strict=True)))))


def room_on_card(work: PieceWork) -> tuple[float, float]:
    """Largest picture that leaves room for a piece's steps on one page, mm."""
    rows = -(-len(work.steps) // 5)
    return _WIDE, max(60.0, min(_HIGH, _PAGE - _ROW * rows))


def flat_map(work: PieceWork, *, limit: tuple[float, float], alone: bool = False) -> str:
    """Draw a piece as SVG.

    Parameters
    ----------
    limit
        Largest width and height of the picture, mm.
    alone
        The picture stands in a file of its own: styles and namespace are put in.
    """
    piece = work.piece
    up, down = scale_of(piece.size, limit)
    size = up / down
    width, height = (v * size for v in piece.size)
    labels = Labels()

    def placed(points: Points) -> Points:
        return np.asarray(points * (size, -size) + (0.0, height))

    drawn = paths_data(placed(piece.lines.xy), piece.lines.start)
    codes = zip(piece.lines.operation.tolist(), piece.lines.fold.tolist(), strict=True)
    body = [
        f'<path class="{line_class(*code)}" d="{data}"/>' for code, data in zip(codes, drawn, strict=True)
    ]
    _names(work, labels, size, height)
    for x, y, letter in piece.letters:
        labels.put_beside(x * size, height - y * size, letter, name="panel")
    below, beside, ticks = _marks(work.rows, labels, size, height)
    body += ticks
    body += _sizes(work, labels, width, height, below, beside)
    words = "real size" if size == 1 else f"scale {up} : {down}"
    bottom = below + 3.5 + 2 * SMALL
    labels.put(max(width / 2, 8.0), bottom, f"in print: {words}", name="scale")
    left = min(beside - 4 - SMALL, -_PAD / 2)
    right = max(width + 1.5, *(b[2] + 1 for b in labels.taken))
    low = max(
        bottom + SMALL + 1.0, *(b[3] + 1 for b in labels.taken)
    )  # the height of a strip is longer than it
    box = (left, -2.0, right - left, low + 2.0)
    return _picture(box, [*body, *labels.rows], alone=alone)


def _picture(box: tuple[float, float, float, float], body: list[str], *, alone: bool) -> str:
    view = " ".join(number(v) for v in box)
    head = f'<svg class="map flat" style="--wide:{number(box[2])}mm" '
    if alone:
        head += 'xmlns="http://www.w3.org/2000/svg" '
    head += (
        f'width="{number(box[2])}mm" height="{number(box[3])}mm" viewBox="{view}" role="img" '
        'aria-label="the flat piece with its scores">'
    )
    ground = ""
    if alone:
        ground = (
            f'<style>{style_rules()}</style><rect x="{number(box[0])}" y="{number(box[1])}" width="100%" height="100%" '
            'fill="#fffdf8"/>'
        )
    return "".join([head, ground, *body, "</svg>"])


def _names(work: PieceWork, labels: Labels, size: float, height: float) -> None:
    """Numbers of slanting scores and of curves, on them or beside them."""
    for count, row in enumerate(work.rows, 1):
        if row.points:
            points = np.array(row.points) * (size, -size) + (0.0, height)
            positions = (
                along(points) if row.kind == "slanting" else [(float(points[1, 0]), float(points[1, 1]))]
            )
            if not labels.try_at(positions, str(count), name="score-number"):
                labels.put_beside(*positions[0], str(count), name="score-number")


def _marks(
    rows: tuple[ScoreRow, ...], labels: Labels, size: float, height: float
) -> tuple[float, float, list[str]]:
    """A mark and a number at each setting; gives how far down and how far left the numbers reach."""
    ticks: list[str] = []
    below: list[tuple[float, str]] = []
    beside: list[tuple[float, str]] = []
    for count, row in enumerate(rows, 1):
        at = row.at * size
        if row.kind == "left":
            below.append((at, str(count)))
            ticks.append(f"M{number(at)} {number(height + 0.4)}v{number(_TICK)}")
        elif row.kind == "lower":
            beside.append((height - at, str(count)))
            ticks.append(f"M-0.4 {number(height - at)}h-{number(_TICK)}")
    first = height + _TICK + SMALL * 0.85
    low = labels.in_rows(below, first, SMALL * 1.3, level=True, name="score-number")
    far = labels.in_rows(beside, -_TICK - SMALL * 0.9, -SMALL * 1.5, level=False, name="score-number")
    drawn = [f'<path class="tick" d="{"".join(ticks)}"/>'] if ticks else []
    return low + SMALL * 0.7, far - SMALL * 0.8, drawn


def _sizes(
    work: PieceWork, labels: Labels, width: float, height: float, below: float, beside: float
) -> list[str]:
    """Overall size below and at the left."""
    y, x = below + 1.6, beside - 1.2
    wide, high = (
        scale.both(size) for scale, size in zip((work.across, work.upward), work.piece.size, strict=True)
    )
    labels.put(max(width / 2, box_of(0, 0, wide, SMALL)[2] - 4), y + SMALL * 0.85, wide)
    half = box_of(0, 0, high, SMALL)[2]
    labels.put(
        x - SMALL * 0.75, min(max(height / 2, half - 2), max(below - half, half - 2)), high, turned=True
    )
    across = f"M0 {number(y)}H{number(width)}M0 {number(y - 1)}v2M{number(width)} {number(y - 1)}v2"
    upward = f"M{number(x)} 0V{number(height)}M{number(x - 1)} 0h2M{number(x - 1)} {number(height)}h2"
    return [f'<path class="measure" d="{across}{upward}"/>']
