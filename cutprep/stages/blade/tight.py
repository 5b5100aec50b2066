"""Features that a drag knife can't follow well.

The pivot can be led so that the tip stays on any line, but where the line turns within less than
the offset, the blade turns about more than it moves: the card is torn rather than cut. That is a
finding, never a silent rounding.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.model.lines import Index, Lines, Points
from cutprep.model.operation import Operation
from cutprep.stages.blade.track import HeadedPath, track, wrap
from cutprep.tolerance import Tolerance

#: Turns from here on are corners at which the card feels the blade swivel, degrees; common
#: practice, no published source.
_CORNER = 30.0
_BY_KNIFE = (Operation.CUT, Operation.PARTIAL_CUT, Operation.PERFORATE)


def tight_features(lines: Lines, offset: float, tolerance: Tolerance) -> Findings:
    """Find curves of a radius below the offset, and corners closer together than it.

    Parameters
    ----------
    lines
        Any lines; only cut ones are looked at.
    offset
        Distance from pivot to tip, mm; with 0 nothing is tight.
    tolerance
        `sagitta` of the curves.

    Returns
    -------
    Findings
        One for each kind and layer, with the tightest place of each line.
    """
    cut = np.flatnonzero(np.isin(lines.operation, _BY_KNIFE))
    if offset <= 0 or not len(cut):
        return ()
    chosen = lines.take(cut)
    tips = track(chosen, tolerance)
    rows, radius = _radii(tips)
    pairs, apart = _corner_distances(tips)
    found = []
    for kind, at, size in ((_CURVE, rows, radius), (_CORNERS, pairs, apart)):
        tight = size < offset
        found += _tell(chosen, tips, kind, offset, at[tight], size[tight])
    return tuple(found)


def _radii(tips: HeadedPath) -> tuple[Index, Points]:
    """Rows where curved pieces start, and their radii, mm."""
    chord, bend = tips.pieces()
    rows = np.flatnonzero(np.abs(bend) > 0)
    return rows, np.hypot(*chord[rows].T) / (2.0 * np.abs(np.sin(bend[rows] / 2.0)))


def _corner_distances(tips: HeadedPath) -> tuple[Index, Points]:
    """Rows of corners, and how far along the line the next one is, mm.

    The place where a closed line closes stands at both its ends, so that going round needs no
    care there; where it is no corner, the way across it is that of the last corner to the first.
    """
    number = np.repeat(np.arange(len(tips)), np.diff(tips.start))
    chord, _ = tips.pieces()
    far = np.cumsum(np.hypot(*chord.T)) - np.hypot(*chord.T)
    rows = np.flatnonzero(np.abs(wrap(tips.leave - tips.arrive)) > np.radians(_CORNER))
    same = number[rows[1:]] == number[rows[:-1]]
    one, two = rows[:-1][same], rows[1:][same]
    first = rows[np.concatenate((np.ones(min(len(rows), 1), bool), ~same))]
    last = rows[np.concatenate((~same, np.ones(min(len(rows), 1), bool)))]
    begin, end = tips.start[number[first]], tips.start[number[first] + 1] - 1
    across = (first > begin) & (last > first) & (tips.xy[begin] == tips.xy[end]).all(axis=1)
    round_about = (far[end] - far[last] + far[first] - far[begin])[across]
    return np.concatenate((one, last[across])), np.concatenate((far[two] - far[one], round_about))


_CURVE = ("tight-curve", "curve{s} with a radius down to {size:.2f} mm")
_CORNERS = ("tight-corners", "place{s} where two corners are only {size:.2f} mm apart, or little more,")


def _tell(
    lines: Lines, tips: HeadedPath, kind: tuple[str, str], offset: float, rows: Index, size: Points
) -> list[Finding]:
    """One finding for each layer, naming each line once at its tightest place."""
    order = np.argsort(size, kind="stable")
    rows, size = rows[order], size[order]
    number = np.searchsorted(tips.start, rows, side="right") - 1
    _, once = np.unique(number, return_index=True)
    once = np.sort(once)
    by_layer: dict[str, list[int]] = {}
    for k in once.tolist():
        by_layer.setdefault(lines.element(int(number[k])).layer, []).append(k)
    code, words = kind
    return [
        Finding.of(
            code=code,
            problem=f"{len(ks)} {words.format(s='s' * (len(ks) > 1), size=size[ks[0]])} "
            f"{'are' if len(ks) > 1 else 'is'} tighter than the blade's offset of {offset:g} mm: "
            "the blade turns on the spot there and tears the card",
            fix="Round them wider, leave them out, or use a blade with less offset.",
            places=tuple(place_of(lines, int(number[k]), tips.xy[rows[k]]) for k in ks[:MOST_PLACES]),
            measure=float(size[ks[0]]),
            limit=offset,
        )
        for ks in by_layer.values()
    ]
