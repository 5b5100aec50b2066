"""What the machine does with a line, with its names in the open standards.

"Score" is the craft word for what the packaging standards call a crease.
"""

from __future__ import annotations

from enum import IntEnum


class Operation(IntEnum):
    """What happens along a line. The codes are stable; the order of work is not their order."""

    UNPLACED = -1
    GUIDE = 0
    DRAW = 1
    SCORE = 2
    PERFORATE = 3
    PARTIAL_CUT = 4
    CUT = 5
    PRINT = 6

    @property
    def word(self) -> str:
        """The plain word, as in `--layer NAME=WORD`."""
        return self.name.lower().replace("_", "-")

    @property
    def noun(self) -> str:
        """What a sentence calls such a line: a perforation, a partial cut."""
        return "perforation" if self is Operation.PERFORATE else self.name.lower().replace("_", " ")


class Fold(IntEnum):
    """Which way a score folds: a mountain away from the viewer, a valley towards."""

    MOUNTAIN = -1
    UNSAID = 0
    VALLEY = 1


#: Operations that part the card, for which a blade runs through it.
SEVERING = (Operation.CUT,)
#: Operations that leave a mark of a tool; guides and unplaced lines are left alone.
WORKED = (
    Operation.DRAW,
    Operation.SCORE,
    Operation.PERFORATE,
    Operation.PARTIAL_CUT,
    Operation.CUT,
)

#: Processing step types of ISO 19593-1:2018 (group Structural), from two public
#: implementations that agree; the standard's text itself was not read.
ISO_19593_1 = {
    Operation.CUT: "Cutting",
    Operation.PARTIAL_CUT: "PartialCutting",
    Operation.SCORE: "Creasing",
    Operation.PERFORATE: "Perforating",
}
#: Line codes of the International Fibreboard Case Code (FEFCO/ESBO), symbol page.
FEFCO_ESBO = {
    (Operation.CUT, Fold.UNSAID): "CL",
    (Operation.SCORE, Fold.VALLEY): "CI",
    (Operation.SCORE, Fold.MOUNTAIN): "CO",
    (Operation.PERFORATE, Fold.UNSAID): "PL",
}
