"""What the machine does, move by move, in mm on the sheet.

The same type comes out of planning and out of reading a machine file back, so that the two
can be laid beside each other.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cutprep.model.lines import Codes, Flags, Points


@dataclass(frozen=True, slots=True, eq=False)
class Moves:
    """Straight moves, each from where the one before ended.

    Attributes
    ----------
    xy
        (k, 2) ndarray of float: end of each move, mm.
    down
        (k,) ndarray of bool: the tool is down during the move. Changing from up to down
        lowers the tool at the start of the move; from down to up lifts it there.
    tool
        (k,) ndarray of int8: tool number as the machine counts them (HP-GL SPn).
    speed
        (k,) ndarray of float: wanted speed, mm/s; 0 means as fast as the machine travels.
    force
        (k,) ndarray of float: force, power or depth in the profile's own unit; NaN where nothing
        is said.
    stroke
        (k,) ndarray of int32: which stroke is being worked; -1 for travel.
    home
        Where the machine stands before the first move, mm.
    dwell
        Seconds of stated waiting (G4), summed.
    changes
        Number of tool changes after the first tool.
    curved
        (k,) ndarray of bool: the move is a chord of an arc that the machine draws as one; all
        False when not given.
    """

    xy: Points
    down: Flags
    tool: Codes
    speed: Points
    force: Points
    stroke: NDArray[np.int32]
    home: tuple[float, float] = (0.0, 0.0)
    dwell: float = 0.0
    changes: int = 0
    curved: Flags = field(default_factory=lambda: np.zeros(0, bool))

    def __post_init__(self) -> None:
        k = len(self.xy)
        if not len(self.curved):
            object.__setattr__(self, "curved", np.zeros(k, bool))
        columns = (
            ("xy", np.float64, (k, 2)),
            ("down", np.bool_, (k,)),
            ("tool", np.int8, (k,)),
            ("speed", np.float64, (k,)),
            ("force", np.float64, (k,)),
            ("stroke", np.int32, (k,)),
            ("curved", np.bool_, (k,)),
        )
        for name, dtype, shape in columns:
            column = np.array(getattr(self, name), dtype=dtype)
            if column.shape != shape:
                raise ValueError(f"{name} has shape {column.shape}; it must be {shape}")
            column.flags.writeable = False
            object.__setattr__(self, name, column)
        if not np.isfinite(self.xy).all():
            raise ValueError("a coordinate is not finite")

    def __len__(self) -> int:
        return len(self.xy)

    @property
    def path(self) -> Points:
        """Home and the end of each move, (k + 1, 2), mm: move k goes from row k to row k + 1."""
        return np.vstack((np.array([self.home], dtype=np.float64), self.xy))

    @property
    def begin(self) -> Points:
        """Where each move starts, (k, 2), mm."""
        return self.path[:-1]

    @property
    def lengths(self) -> Points:
        """Length of each move, (k,), mm."""
        return np.asarray(np.hypot(*(self.xy - self.begin).T))

    @property
    def travel(self) -> float:
        """Length with the tool up, mm."""
        return float(self.lengths[~self.down].sum())


@dataclass(frozen=True, slots=True)
class Duration:
    """Seconds by kind of work.

    Attributes
    ----------
    work
        Tool number to seconds with that tool down.
    travel, lift, change, dwell
        Moving with the tool up; lifting and lowering; changing tools; stated waiting.
    """

    work: tuple[tuple[int, float], ...]
    travel: float
    lift: float
    change: float
    dwell: float

    def __add__(self, other: Duration) -> Duration:
        """Both behind each other."""
        work = dict(self.work)
        for number, seconds in other.work:
            work[number] = work.get(number, 0.0) + seconds
        return Duration(
            work=tuple(sorted(work.items())),
            travel=self.travel + other.travel,
            lift=self.lift + other.lift,
            change=self.change + other.change,
            dwell=self.dwell + other.dwell,
        )

    @property
    def total(self) -> float:
        """All of it, s."""
        return sum(s for _, s in self.work) + self.travel + self.lift + self.change + self.dwell
