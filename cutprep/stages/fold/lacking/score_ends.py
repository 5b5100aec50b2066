"""Which way scores go on from where they end."""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Points

#: Ends of lines this near to one another are one, mm.
NEAR = 0.5
#: Directions this near are one: cosine of some 0.8 degrees.
ALONG = 0.9999


class ScoreEnds:
    """The ends of some scores, (k, 2, 2), and the way each score takes from them."""

    def __init__(self, runs: Points) -> None:
        steps = runs[:, 1] - runs[:, 0]
        self.lengths = np.hypot(*steps.T)
        self.along = steps / self.lengths[:, None]
        self.tips = runs.reshape(-1, 2)
        self._leaving = np.stack((self.along, -self.along), axis=1).reshape(-1, 2)

    def leaving(self, point: Points) -> Points:
        """Directions, (m, 2), in which scores leave a point, (2,)."""
        return np.asarray(self._leaving[np.hypot(*(self.tips - point).T) < NEAR])

    def goes_on(self, point: Points, way: Points) -> bool:
        """Whether a score goes straight on from a point in a direction, (2,) each."""
        return bool((self.leaving(point) @ way > ALONG).any())
