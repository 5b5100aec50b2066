"""Hinges: the scores between two panels, straight, curved or bent; and the parts they hold together."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from cutprep.geometry.closeness.proximity import components
from cutprep.model.lines import Points
from cutprep.model.operation import Fold
from cutprep.stages.fold.net.panels import SHORTEST_HINGE, Net, is_score

#: A chain of at least this many turns, none sharper than the limit, is a curve.
_CURVE_TURNS = 3
_CURVE_SHARPEST = 40.0
#: Pieces no longer than so many times the distance in which ends were drawn together say nothing of a chain's turns.
_ANYWHERE = 3.0
#: However flat it is, no turn of a curve makes up more than this share of all.
_CURVE_SHARE = 0.4


@dataclass(frozen=True, slots=True, eq=False)
class Score:
    """A score between two panels of a net.

    Attributes
    ----------
    a, b
        Panels; b lies left of the run from the first end to the second.
    tips
        The two end vertices.
    ends
        (2, 2) ndarray of float, mm.
    pieces
        Pieces it is made of.
    kind
        "straight", "curved" or "bent".
    bow
        Largest distance from the straight between its ends, mm.
    length
        Distance of the ends, mm.
    """

    a: int
    b: int
    tips: tuple[int, int]
    ends: Points
    pieces: tuple[int, ...]
    joined: float
    fold: Fold
    declared: float | None
    kind: str
    bow: float
    length: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "length", float(np.hypot(*(self.ends[1] - self.ends[0]))))

    def cosine_to(self, other: Score) -> float:
        """Cosine of the acute angle between the straights from end to end of two scores."""
        one, two = (score.ends[1] - score.ends[0] for score in (self, other))
        return abs(float(one @ two)) / (self.length * other.length)

    def other(self, panel: int) -> int:
        """The panel on the far side of one."""
        return self.a if panel == self.b else self.b


def hinges_of(net: Net) -> tuple[Score, ...]:
    """Find every hinge, ordered by panel numbers."""
    grouped: dict[tuple[int, int], list[int]] = {}
    for k in range(len(net.pieces)):
        if not is_score(int(net.pieces.operations[k])):
            continue
        one, two = net.sides(k)
        if min(one, two) >= 0 and one != two:
            grouped.setdefault((min(one, two), max(one, two)), []).append(k)
    found = (_hinge(net, a, b, grouped[a, b]) for a, b in sorted(grouped))
    return tuple(h for h in found if h.joined >= SHORTEST_HINGE)


def _hinge(net: Net, a: int, b: int, pieces: list[int]) -> Score:
    xy, table = net.pieces.xy, net.pieces
    runs = np.array([_run(net, k, b) for k in pieces])
    along = (xy[runs[:, 1]] - xy[runs[:, 0]]).sum(axis=0)
    if not along.any():  # a closed score round a panel
        along = xy[runs[0, 1]] - xy[runs[0, 0]]
    vertices = np.unique(runs)
    far = xy[vertices] @ along
    first, last = int(vertices[far.argmin()]), int(vertices[far.argmax()])
    ends = xy[[first, last]]
    unit = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    bow = float(np.abs((xy[vertices] - ends[0]) @ np.array([-unit[1], unit[0]])).max())
    limit = max(1.5 * table.tolerance, 0.25)
    kind = "straight" if bow <= limit else _bent_or_curved(net, runs)
    lengths = np.hypot(*(xy[runs[:, 1]] - xy[runs[:, 0]]).T)
    folds = np.sign(table.fold[pieces].astype(float) @ lengths)
    angles = table.degrees[pieces]
    said = angles[~np.isnan(angles)]
    return Score(
        a=a,
        b=b,
        tips=(first, last),
        ends=ends,
        pieces=tuple(pieces),
        joined=float(lengths.sum()),
        fold=Fold(int(folds)),
        declared=float(np.median(said)) if len(said) else None,
        kind=kind,
        bow=bow,
    )


def _run(net: Net, k: int, left: int) -> tuple[int, int]:
    """Direction of a piece that has a panel on its left."""
    u, v = (int(w) for w in net.pieces.ends[k])
    return (u, v) if net.left.get((u, v)) == left else (v, u)


def _bent_or_curved(net: Net, runs: Points) -> str:
    """Tell a curve from a bend by the chain, not by how it was drawn: curves arrive in pieces."""
    xy = net.pieces.xy
    after = {int(u): int(v) for u, v in runs}
    starts = [u for u in after if u not in set(after.values())]
    turns: list[float] = []
    for start in starts or [next(iter(after))]:
        chain = [start]
        while chain[-1] in after and len(chain) <= len(after):
            chain.append(after[chain[-1]])
        steps = np.diff(xy[chain], axis=0)
        # A piece as short as ends are off points anywhere.
        steps = steps[np.hypot(*steps.T) > _ANYWHERE * net.pieces.tolerance]
        heading = np.degrees(np.arctan2(steps[:, 1], steps[:, 0]))
        turns += np.abs((np.diff(heading) + 180.0) % 360.0 - 180.0).tolist()
    largest = max(turns, default=0.0)
    spread = largest < _CURVE_SHARE * sum(turns)  # a flat curve turns by little at each of many places
    many = sum(t > 0.5 for t in turns) >= _CURVE_TURNS
    return "curved" if (many or spread) and largest < _CURVE_SHARPEST else "bent"


def parts_of(count: int, hinges: tuple[Score, ...]) -> list[list[int]]:
    """Panels that are connected, the part with the most panels first."""
    pairs = np.array([(h.a, h.b) for h in hinges], np.int64).reshape(-1, 2)
    label = components(count, pairs[:, 0], pairs[:, 1])
    parts = [np.flatnonzero(label == part).tolist() for part in np.unique(label)]
    return sorted(parts, key=lambda p: (-len(p), p))
