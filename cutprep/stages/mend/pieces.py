"""Pieces of lines, and lines with other pieces or other points in their places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from cutprep.geometry.lines.segments import between
from cutprep.model.lines import Flags, Index, Lines, Points

#: Vertices and their flags.
Piece = tuple[Points, Flags]


def part_of(lines: Lines, i: int, begin: float, end: float) -> Piece:
    """A piece of line i between two positions; its ends are no points of a curve.

    Parameters
    ----------
    lines
        mm.
    i
        Which of them.
    begin, end
        Positions along it, mm, rising.
    """
    points = lines.points(i)
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    inner = lines.curves(i)[(run > begin) & (run < end)]
    return between(points, begin, end), np.concatenate(([False], inner, [False]))


def over_seam(tail: Piece, head: Piece) -> Piece:
    """The last piece of a closed line run on into its first."""
    return np.vstack((tail[0], head[0][1:])), np.concatenate((tail[1], head[1][1:]))


def replaced(
    lines: Lines, made: Mapping[int, Sequence[Piece]], gone: Flags | None = None
) -> tuple[Lines, Index]:
    """Put pieces in the places of lines.

    Parameters
    ----------
    made
        For a line the pieces that take its place; none take it out.
    gone
        (m,) ndarray of bool: lines that are taken out besides.

    Returns
    -------
    lines
        In the same order, pieces of one line side by side.
    owner
        For each line the number of the one it was.
    """
    kept = np.ones(len(lines), bool) if gone is None else ~gone
    kept[list(made)] = False
    new = []
    for i, pieces in sorted(made.items()):
        count = len(pieces)
        new.append(
            Lines.of(
                [points for points, _ in pieces],
                operation=[int(lines.operation[i])] * count,
                fold=[int(lines.fold[i])] * count,
                source=[int(lines.source[i])] * count,
                curved=[curved for _, curved in pieces] or None,
                elements=lines.elements,
            )
        )
    owner = np.concatenate((np.flatnonzero(kept), *(np.full(len(made[i]), i) for i in sorted(made))))
    order = np.argsort(owner, kind="stable")
    return Lines.concat([lines.take(kept), *new]).take(order), owner[order]


def moved(lines: Lines, xy: Points) -> Lines:
    """The same lines with their vertices elsewhere; (n, 2) mm."""
    return replace(lines, xy=xy)
