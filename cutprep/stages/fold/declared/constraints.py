"""What a folded part is to obey: declared angles, drawn folds, which side is in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.work import WorkBudget


@dataclass(frozen=True, slots=True, eq=False)
class FoldConstraints:
    """What a body is to obey.

    Attributes
    ----------
    fixed
        Hinge to fold angle, degrees.
    sense
        +1 when the side seen in the drawing becomes the inside, else -1.
    signs
        (h,) ndarray of float: drawn fold of each hinge, 0 unsaid.
    gathers
        Groups of vertices that come together.
    seam
        Distance up to which a seam counts as closed, mm.
    work
        What the search may spend.
    """

    fixed: Mapping[int, float]
    sense: float
    signs: Points
    gathers: Sequence[Sequence[int]]
    seam: float
    work: WorkBudget = field(default_factory=WorkBudget)
