"""Improving one sheet by work that is counted, not timed: take some copies off, place them anew.

Each round starts from the best layout so far (or from nothing), removes a neighbourhood, and fills
the sheet again with another pull and another choice of poses. What places more area is kept. The
same seed and the same budget give the same layout on any machine.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from cutprep.stages.nest.item.pattern import PatternPlacement
from cutprep.stages.nest.pack.greedy import AnyBoard, Pull, fill

_PULLS = (Pull(270.0), Pull(180.0), Pull(270.0, 1.0), Pull(225.0), Pull(180.0, 0.5), Pull(250.0, 0.3))
#: Of many poses (free turns) only some are tried in one round.
_POSES = 6


def quick_fill(board: AnyBoard, counts: Sequence[int]) -> list[PatternPlacement]:
    """Fill an empty sheet with the fixed pulls of its kind of board, and give the layout with most area."""
    best: list[PatternPlacement] = []
    for pull in _PULLS[: board.pulls]:
        trial = board.fresh()
        fill(trial, by_area(board, counts), pull)
        best = better(board, best, trial.placements)
    return best


def improve(
    board: AnyBoard,
    counts: Sequence[int],
    start: Sequence[PatternPlacement],
    seed: np.random.SeedSequence,
    until: float,
    enough: Callable[[Sequence[PatternPlacement]], bool],
) -> list[PatternPlacement]:
    """Search for a sheet that holds more area.

    Parameters
    ----------
    board
        The empty sheet.
    counts
        Copies of each demand that there are to place.
    start
        A layout to begin with; may be empty.
    until
        Reading of the board's meter at which the search ends, s.
    enough
        Ends the search when it says yes of a layout.
    """
    rng = np.random.default_rng(seed)
    best = list(start)
    while board.meter.spent < until and not enough(best):
        trial = _ruined(board, best, rng) if best and rng.random() < 0.75 else board.fresh()
        trial.narrow(rng, _POSES)
        rest = list(counts)
        for placement in trial.placements:
            rest[placement.demand] -= 1
        if not trial.placements:
            _drop_first(trial, rest, rng)
        fill(trial, _shaken(board, rest, rng), _pull(rng))
        found = area_of(board, trial.placements) - area_of(board, best)
        if found >= 0 or not best:
            best = trial.placements
    return best


def by_area(board: AnyBoard, counts: Sequence[int]) -> list[int]:
    """Demands in the order of placing: large ones first."""
    order = sorted(range(len(counts)), key=lambda demand: (-board.shapes[demand].area, demand))
    return [demand for demand in order for _ in range(counts[demand])]


def area_of(board: AnyBoard, placements: Sequence[PatternPlacement]) -> float:
    """Area of the copies in a layout, mm2."""
    return float(sum(board.shapes[placement.demand].area for placement in placements))


def better(
    board: AnyBoard, first: list[PatternPlacement], second: list[PatternPlacement]
) -> list[PatternPlacement]:
    """The layout with more area; the first when equal."""
    return second if area_of(board, second) > area_of(board, first) else first


def _shaken(board: AnyBoard, counts: Sequence[int], rng: np.random.Generator) -> list[int]:
    """Large demands first, now and then with the order changed a little."""
    weight = np.array([shape.area for shape in board.shapes])
    weight = weight * rng.uniform(0.5, 1.5, len(weight)) if rng.random() < 0.6 else weight
    order = np.argsort(-weight, kind="stable")
    return [int(demand) for demand in order for _ in range(counts[demand])]


def _pull(rng: np.random.Generator) -> Pull:
    if rng.random() < 0.4:
        return _PULLS[int(rng.integers(len(_PULLS)))]
    return Pull(float(rng.uniform(0.0, 360.0)), float(rng.choice([0.0, 0.3, 0.6, 1.0])))


def _drop_first(board: AnyBoard, rest: list[int], rng: np.random.Generator) -> None:
    """Place one copy anywhere along the edges, so that rounds begin differently."""
    demands = [demand for demand, count in enumerate(rest) if count > 0]
    if not demands or rng.random() < 0.3:
        return
    demand = demands[int(rng.integers(len(demands)))]
    poses = board.allowed[demand]
    pose = poses[int(rng.integers(len(poses)))]
    corners = board.corners(demand, pose)
    if len(corners):
        x, y = corners[int(rng.integers(len(corners)))]
        board.put(PatternPlacement(demand, pose, float(x), float(y)))
        rest[demand] -= 1


def _ruined(board: AnyBoard, placements: Sequence[PatternPlacement], rng: np.random.Generator) -> AnyBoard:
    """A board without the copies round a random one."""
    at = np.array([(placement.x, placement.y) for placement in placements])
    middle = at[int(rng.integers(len(placements)))]
    off = np.hypot(*(at - middle).T)
    size = int(rng.integers(1, max(2, min(len(placements), 8)) + 1))
    gone = set(np.argsort(off, kind="stable")[:size].tolist())
    trial = board.fresh()
    trial.placements = [placement for k, placement in enumerate(placements) if k not in gone]
    return trial
