"""Stretches of lines: what is worked with the tool down once."""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Index, Points
from cutprep.stages.blade.track import Angles, HeadedPath, along_curve, spread


def reached(tips: HeadedPath) -> Points:
    """Distance of each vertex from the start of its line along the chords, (n,), mm."""
    chord, _ = tips.pieces()
    steps = np.hypot(*chord.T)
    far = np.cumsum(steps) - steps
    return np.asarray(far - np.repeat(far[tips.start[:-1]], np.diff(tips.start)))


def lengths(tips: HeadedPath) -> Points:
    """Length of each line along its chords, (m,), mm."""
    return np.asarray(reached(tips)[tips.start[1:] - 1])


def stretches(tips: HeadedPath, line: Index, begin: Points, end: Points) -> HeadedPath:
    """Cut stretches out of lines.

    Parameters
    ----------
    tips
        Any number of lines.
    line
        (k,) which line each stretch belongs to.
    begin, end
        (k,) from where to where, mm along the line's chords. On a closed line a stretch may
        run on past the start, and round again.

    Returns
    -------
    HeadedPath
        One line for each stretch, with the headings it has there; at its ends it arrives as
        it leaves.
    """
    chord, turn = tips.pieces()
    steps, far, whole = np.hypot(*chord.T), reached(tips), lengths(tips)[line]
    first, pieces = tips.start[line], np.diff(tips.start)[line] - 1
    # Sums of chords differ in their last digits; an end that close to a vertex is that vertex.
    near = 1e-9 * np.maximum(whole, 1.0)  # not a tolerance: rounding of sums
    head = _piece_at(far, first, pieces, whole, begin + near)
    tail = np.maximum(_piece_at(far, first, pieces, whole, end - near), head)
    ring = np.maximum(pieces, 1)

    def point(piece: Index, at: Points) -> tuple[Points, Angles]:
        rounds, row = piece // ring, first + piece % ring
        length = np.where(steps[row] > 0, steps[row], 1.0)
        t = np.clip((at - rounds * whole - far[row]) / length, 0.0, 1.0)
        return along_curve(tips.xy[row], chord[row], tips.leave[row], turn[row], t)

    (head_xy, head_way), (tail_xy, tail_way) = point(head, begin), point(tail, end)
    counts = np.where(pieces > 0, tail - head + 2, 1)
    k, j = spread(counts)
    vertex = first[k] + (head[k] + j) % ring[k]
    is_head, is_tail = j == 0, j == counts[k] - 1

    def pick(at_head: Points, at_tail: Points, inside: Points) -> Points:
        shape = (-1, *(1,) * (inside.ndim - 1))
        rest = np.where(is_tail.reshape(shape), at_tail[k], inside[vertex])
        return np.asarray(np.where(is_head.reshape(shape), at_head[k], rest))

    return HeadedPath(
        pick(head_xy, tail_xy, tips.xy),
        pick(head_way, tail_way, tips.arrive),
        pick(head_way, tail_way, tips.leave),
        np.concatenate(([0], np.cumsum(counts))),
    )


def _piece_at(far: Points, first: Index, pieces: Index, whole: Points, at: Points) -> Index:
    """Number of the piece that holds a distance along a line, counted on over further rounds."""
    rounds = np.where(whole > 0, np.floor(at / np.where(whole > 0, whole, 1.0)), 0.0)
    # Distances grow along each line from 0; laid end to end, one search serves all lines.
    total = np.concatenate(([0.0], np.cumsum(np.maximum(np.diff(far), 0.0))))
    row = np.searchsorted(total, total[first] + at - rounds * whole, side="right") - 1 - first
    row = np.clip(row, 0, np.maximum(pieces - 1, 0))
    return np.asarray(rounds.astype(np.int64) * np.maximum(pieces, 1) + row)
