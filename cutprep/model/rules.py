"""Rules that the maker gives for what lines are for, and the words that they are written in."""

from __future__ import annotations

import re
from dataclasses import dataclass

from cutprep.errors import JobError
from cutprep.model.operation import Fold, Operation
from cutprep.tables import suggest

#: How the empty layer is called in options.
UNNAMED = "unnamed"


@dataclass(frozen=True, slots=True)
class LineKind:
    """An operation with the fold direction that a word implies."""

    operation: Operation
    fold: Fold = Fold.UNSAID


#: Operation words that rules accept.
CHOICES: dict[str, LineKind] = {
    "cut": LineKind(Operation.CUT),
    "score": LineKind(Operation.SCORE),
    "crease": LineKind(Operation.SCORE),
    "fold": LineKind(Operation.SCORE),
    "mountain": LineKind(Operation.SCORE, Fold.MOUNTAIN),
    "valley": LineKind(Operation.SCORE, Fold.VALLEY),
    "perforate": LineKind(Operation.PERFORATE),
    "partial-cut": LineKind(Operation.PARTIAL_CUT),
    "draw": LineKind(Operation.DRAW),
    "guide": LineKind(Operation.GUIDE),
    "print": LineKind(Operation.PRINT),
}


@dataclass(frozen=True, slots=True)
class Rules:
    """Rules that the maker gave.

    Attributes
    ----------
    layers
        Layer name (any case) to kind; a name matches the whole chain of groups or any one of them.
    colours
        "#rrggbb" to kind.
    dashed
        Kind of dashed lines that nothing else places, or that share a rule with solid ones; or None.
    fill_as_outline
        Take filled shapes without a stroke as if they had one.
    quiet
        Names of layers and colours that need not be in a drawing: their rules are remembered ones.
    """

    layers: tuple[tuple[str, LineKind], ...] = ()
    colours: tuple[tuple[str, LineKind], ...] = ()
    dashed: LineKind | None = None
    fill_as_outline: bool = False
    quiet: frozenset[str] = frozenset()


def parse_rule(text: str) -> tuple[str, LineKind]:
    """Read `NAME=OPERATION`.

    Raises
    ------
    JobError
        When there is no "=", or the operation is not known.
    """
    name, sign, word = text.rpartition("=")
    if not sign or not name.strip():
        raise JobError(f"the rule '{text}' has no name or no operation", fix="Write for example lid=cut.")
    return name.strip(), parse_kind(word)


def parse_kind(word: str) -> LineKind:
    """Read an operation's word.

    Raises
    ------
    JobError
        When the word is not known.
    """
    kind = CHOICES.get(word.strip().lower().replace("_", "-").replace(" ", "-"))
    if kind is None:
        raise JobError(
            f"the operation '{word.strip()}' is not known", fix=suggest(word.strip(), list(CHOICES))
        )
    return kind


def parse_colour(text: str) -> str:
    """Read a colour as `#rgb` or `#rrggbb`.

    Raises
    ------
    JobError
        When it is neither.
    """
    digits = text.strip().lower().removeprefix("#")
    if re.fullmatch(r"[0-9a-f]{3}", digits):
        digits = "".join(2 * d for d in digits)
    if not re.fullmatch(r"[0-9a-f]{6}", digits):
        raise JobError(f"'{text}' is not a colour", fix="Write it as #rrggbb, for example #d02020.")
    return f"#{digits}"
