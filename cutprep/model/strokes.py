"""The lines of one sheet in working order."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutprep.model.lines import Lines, Sources


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Lines in the order and direction in which they are worked.

    Attributes
    ----------
    lines
        In working order; a closed line starts where the tool comes down. That may be within one of
        its segments, which is there in two pieces then.
    stage
        (m,) ndarray of int16: number of the stage; never goes down. Where each copy is finished
        before the next, stages are counted through from copy to copy, six to each.
    part
        (m,) ndarray of int32: running number of the placed part the line belongs to, -1 for none.
    outline
        (m,) ndarray of bool: the stroke is its part's outline (after it the part is loose).
    home
        Where the tool starts and ends, mm on the sheet.
    reasons
        Why each stroke stands where it does; empty unless asked for.
    """

    lines: Lines
    stage: NDArray[np.int16]
    part: Sources
    outline: NDArray[np.bool_]
    home: tuple[float, float] = (0.0, 0.0)
    reasons: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        m = len(self.lines)
        for name, dtype in (("stage", np.int16), ("part", np.int32), ("outline", np.bool_)):
            column = np.array(getattr(self, name), dtype=dtype)
            if column.shape != (m,):
                raise ValueError(f"{name} must have one entry a stroke")
            column.flags.writeable = False
            object.__setattr__(self, name, column)
        if m and bool((np.diff(self.stage.astype(int)) < 0).any()):
            raise ValueError("a stage goes down")

    def __len__(self) -> int:
        return len(self.lines)

    @property
    def travel(self) -> float:
        """Pen-up length from home over all strokes and back home, mm."""
        if not len(self):
            return 0.0
        home = np.array([self.home])
        leave = np.vstack((home, self.lines.xy[self.lines.start[1:] - 1]))
        arrive = np.vstack((self.lines.xy[self.lines.start[:-1]], home))
        return float(np.hypot(*(arrive - leave).T).sum())
