"""What was declared by points of the drawing, by points of its pose."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.geometry.lines.pose import CanonicalPose
from cutprep.stages.fold.declared.file import DeclaredPoint, FoldDeclarations


def posed_declarations(declared: FoldDeclarations, pose: CanonicalPose) -> FoldDeclarations:
    """Turn every declared point, and the grain, as the drawing is turned."""

    def there(spot: DeclaredPoint) -> DeclaredPoint:
        x, y = pose.there(np.array([spot.xy]))[0].tolist()
        return replace(spot, xy=(x, y), said=spot.as_said)

    return replace(
        declared,
        grain=None if declared.grain is None else pose.direction_there(declared.grain),
        angles=tuple((there(s), degrees) for s, degrees in declared.angles),
        mates=tuple((there(a), there(b)) for a, b in declared.mates),
        flaps=tuple((there(s), None if on is None else there(on)) for s, on in declared.flaps),
        gathers=tuple(tuple(there(s) for s in group) for group in declared.gathers),
        opens=tuple(there(s) for s in declared.opens),
    )
