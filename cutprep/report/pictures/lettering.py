"""Words in pictures: where there is room for them, so that no two touch and each has its size in print.

Pictures are drawn in millimetres of the printed page; a text's box is taken from its length and
size, for no font can be measured here. The figures are those of wide sans-serif faces.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from html import escape

import numpy as np

from cutprep.model.lines import Points

#: Smallest text in print, mm: 7.4 pt (1 pt = 25.4 / 72 mm); 7 pt is the least that is promised.
SMALL = 2.6
#: Width of a character, what a word of wide letters (M, W) has more, and height of a line, shares of the
#: size; no published source: wide faces, rounded up.
_WIDE, _MORE, _HIGH = 0.64, 0.36, 1.22
#: Ways out of a place that is taken, eighths of a turn; rounds outwards, in sizes of the text.
_AROUND = ((1, 0), (0, 1), (-1, 0), (0, -1), (0.7, 0.7), (-0.7, 0.7), (-0.7, -0.7), (0.7, -0.7))
_ROUNDS = (1.5, 2.5, 4.0, 6.0)

Box = tuple[float, float, float, float]


@dataclass
class Labels:
    """Texts put into one picture; y runs down.

    Attributes
    ----------
    taken
        Boxes of the texts so far: left, top, right, bottom.
    edge
        Where texts may be, or None for anywhere.
    """

    edge: Box | None = None
    taken: list[Box] = field(default_factory=list)
    rows: list[str] = field(default_factory=list)

    def free(self, box: Box) -> bool:
        """Whether a box touches no text and lies inside the edge."""
        if self.edge is not None and not (
            self.edge[0] <= box[0]
            and self.edge[1] <= box[1]
            and box[2] <= self.edge[2]
            and box[3] <= self.edge[3]
        ):
            return False
        return all(box[2] <= b[0] or b[2] <= box[0] or box[3] <= b[1] or b[3] <= box[1] for b in self.taken)

    def keep_clear(self, box: Box) -> None:
        """Keep texts out of a box."""
        self.taken.append(box)

    def put(
        self, x: float, y: float, text: str, *, size: float = SMALL, name: str = "", turned: bool = False
    ) -> None:
        """Write a text with its middle at a place, whatever is there.

        Parameters
        ----------
        x, y
            Middle, mm of the picture, y down.
        text
            What is written; it is escaped.
        size
            Height of the letters, mm.
        name
            Class of the element; empty for none.
        turned
            Read from below upwards.
        """
        self.taken.append(box_of(x, y, text, size, turned=turned))
        kind = f' class="{name}"' if name else ""
        where = f'x="{x:.2f}" y="{y + size * 0.36:.2f}"'
        if turned:
            where = f'transform="translate({x + size * 0.36:.2f} {y:.2f}) rotate(-90)"'
        self.rows.append(f'<text{kind} {where} font-size="{size:g}">{escape(text)}</text>')

    def try_at(
        self, positions: Iterable[tuple[float, float]], text: str, *, size: float = SMALL, name: str = ""
    ) -> bool:
        """Write a text at the first place that is free; False when none is.

        Parameters
        ----------
        positions
            Middles in the order of trying, mm, y down.
        text, size, name
            As for `put`.
        """
        for x, y in positions:
            if self.free(box_of(x, y, text, size)):
                self.put(x, y, text, size=size, name=name)
                return True
        return False

    def put_beside(self, x: float, y: float, text: str, *, size: float = SMALL, name: str = "") -> bool:
        """Write a text at a place, or beside it with a thin line to it; False when all around is taken.

        Parameters
        ----------
        x, y
            Where it belongs, mm, y down.
        text, size, name
            As for `put`.
        """
        if self.try_at([(x, y)], text, size=size, name=name):
            return True
        beside = [(x + dx * away * size, y + dy * away * size) for away in _ROUNDS for dx, dy in _AROUND]
        # Where many texts lie near each other most ways out are taken: those are looked at all at once.
        taken = np.reshape(self.taken, (-1, 4))
        boxes = np.array([box_of(u, v, text, size) for u, v in beside])[:, None]
        touch = (boxes[..., 2:] > taken[:, :2]) & (taken[:, 2:] > boxes[..., :2])
        for k in np.flatnonzero(~np.any(np.all(touch, axis=2), axis=1)).tolist():
            u, v = beside[k]
            if self.free(box_of(u, v, text, size)):
                self.rows.append(f'<path class="leader" d="M{x:.2f} {y:.2f}L{u:.2f} {v:.2f}"/>')
                self.put(u, v, text, size=size, name=name)
                return True
        return False

    def in_rows(
        self, marks: Iterable[tuple[float, str]], first: float, step: float, *, level: bool, name: str = ""
    ) -> float:
        """Write texts along an edge, each in the first row (or column) that has room for it.

        Parameters
        ----------
        marks
            Where along the edge, and what.
        first, step
            Where the first row is, and how far the next one is away from it (negative: up or left).
        level
            The edge is level, so the rows are; else they are columns.

        Returns
        -------
        float
            Where the last row is.
        """
        last = first
        for at, text in marks:
            row = first
            while True:
                x, y = (at, row) if level else (row, at)
                if self.free(box_of(x, y, text, SMALL)):
                    break
                row += step
            self.put(x, y, text, name=name)
            last = max(last, row, key=lambda r: abs(r - first))
        return last


def box_of(x: float, y: float, text: str, size: float, *, turned: bool = False) -> Box:
    """The box of a text whose middle is at a place.

    Parameters
    ----------
    x, y
        Middle, mm of the picture, y down.
    text
        What is written.
    size
        Height of the letters, mm.
    turned
        Read from below upwards.
    """
    wide, high = size * (_WIDE * max(len(text), 1) + _MORE) / 2, size * _HIGH / 2
    if turned:
        wide, high = high, wide
    return x - wide, y - high, x + wide, y + high


def along(
    points: Points, shares: Iterable[float] = (0.5, 0.35, 0.65, 0.22, 0.78)
) -> list[tuple[float, float]]:
    """Places on a straight line from its first to its last point; (n, 2) mm."""
    p, q = points[0], points[-1]
    return [(float(p[0] + (q[0] - p[0]) * s), float(p[1] + (q[1] - p[1]) * s)) for s in shares]
