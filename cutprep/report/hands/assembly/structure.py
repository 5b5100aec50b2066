"""What a folded piece is, for hands: panels hanging on panels."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutprep.geometry.space.hinged import angles_at, pose_panels, tree_of
from cutprep.model.duties import Fastening
from cutprep.model.folded import Flap, FoldReport, Role

#: Folds nearer to one direction than this (cosine) are parallel.
_PARALLEL = 0.999
#: A panel that is folded back by more than this (degrees) lies on the one it hangs on.
OVER = 150.0
#: A fold of less than this stays flat, degrees.
_FLAT = 1.0


class PanelTree:
    """A piece as panels hanging on panels.

    Parameters
    ----------
    report
        The piece.

    Attributes
    ----------
    flaps
        Its flaps by their panels.
    near
        For each panel those that it hangs on or that hang on it, with the hinge between.
    lying
        Flaps that lie on something and stay there.
    body
        Walls and covers.
    """

    def __init__(self, report: FoldReport) -> None:
        self.report = report
        self.flaps = {flap.panel: flap for flap in report.flaps}
        self.near: dict[int, dict[int, int]] = {k: {} for k in range(len(report.panels))}
        for row, hinge in enumerate(report.hinges):
            self.near[hinge.a][hinge.b] = row
            self.near[hinge.b][hinge.a] = row
        self.lying = [
            f for f in report.flaps if f.target is not None and f.fastening is not Fastening.NOTHING
        ]
        self.body = [k for k, p in enumerate(report.panels) if p.role is Role.BODY]

    def bodies_at(self, panel: int) -> list[int]:
        """Walls and covers that hang on a panel or that it hangs on."""
        return [k for k in self.near[panel] if self.report.panels[k].role is Role.BODY]

    def flaps_on(self, panel: int) -> list[Flap]:
        """Flaps that hang on a panel."""
        return [self.flaps[k] for k in self.near[panel] if k in self.flaps and self.flaps[k].on == panel]

    def beyond(self, panel: int, stop: int) -> set[int]:
        """A panel and everything that hangs on it, seen from another panel that it hangs on."""
        found, todo = {panel}, [panel]
        while todo:
            for k in self.near[todo.pop()]:
                if k != stop and k not in found:
                    found.add(k)
                    todo.append(k)
        return found

    def way(self, begin: int, end: int) -> list[int]:
        """Walls from one to another along their folds; empty when there is no way."""
        came = {begin: begin}
        todo = [begin]
        for at in todo:
            for k in self.bodies_at(at):
                if k not in came:
                    came[k] = at
                    todo.append(k)
        if end not in came:
            return []
        way = [end]
        while way[-1] != begin:
            way.append(came[way[-1]])
        return way[::-1]

    def towards(self, panel: int, base: int) -> int:
        """The panel that a panel hangs on, seen from the base."""
        return self.way(panel, base)[1]

    def along(self, row: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        """Direction of a fold, of length 1."""
        step = np.diff(self.report.hinges[row].ends, axis=0)[0]
        return np.asarray(step / np.hypot(*step))

    def upward(self, walls: Sequence[int]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        """Direction of the folds between walls, up on the drawing (or right, for folds that lie level)."""
        along = self.along(self.near[walls[0]][walls[1]])
        return along if (round(float(along[1]), 6), along[0]) > (0.0, 0.0) else -along

    def parallel(self, one: int, other: int) -> bool:
        """Whether two folds run the same way on the flat card."""
        return abs(float(self.along(one) @ self.along(other))) > _PARALLEL

    def over(self, panel: int, on: int) -> bool:
        """Whether a panel is folded back onto the one it hangs on."""
        return abs(self.report.hinges[self.near[panel][on]].angle) > OVER

    def level_with(self, panel: int) -> set[int]:
        """A panel, and the body panels that folds which stay flat part it from: a wall with a tear line."""
        found, todo = {panel}, [panel]
        while todo:
            at = todo.pop()
            for k in self.bodies_at(at):
                if k not in found and abs(self.report.hinges[self.near[at][k]].angle) < _FLAT:
                    found.add(k)
                    todo.append(k)
        return found

    def across(self, one: int, other: int) -> float:
        """Cosine between the outer sides of two panels when all is folded; -1: they face away from each other."""
        tree = tree_of(self.report)
        if tree is None:
            return 1.0
        turn, _ = pose_panels(tree, angles_at(self.report, 1.0))
        return float(turn[one][:, 2] @ turn[other][:, 2])
