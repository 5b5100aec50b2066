"""What mending may do; with every default."""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.errors import JobError
from cutprep.tables import suggest

#: What may be done about lines of different operations on each other.
KEEP = ("report", "cut", "score", "outline")
#: What is done only when asked.
ASKED = ("arcs", "straighten", "stubs")
#: Codes of changes that can be left: those that are made unasked, and stubs. A split outline is no change of its own:
#: it follows from a stretch taken out.
LEAVABLE = (
    "removed-double",
    "removed-under",
    "removed-crumb",
    "removed-stub",
    "removed-points",
    "joined-lines",
    "closed-gap",
    "trimmed-cut",
    "trimmed-score",
    "extended-score",
)


@dataclass(frozen=True, slots=True)
class Left:
    """One change that is not to be made.

    Attributes
    ----------
    code
        Of the change, one of `LEAVABLE`.
    at
        The first place of its finding, mm in the drawing.

    Raises
    ------
    JobError
        When nothing that mending does has that code.
    """

    code: str
    at: tuple[float, float]

    def __post_init__(self) -> None:
        if self.code not in LEAVABLE:
            raise JobError(
                f"'{self.code}' is nothing that mending does and could leave",
                fix=suggest(self.code, LEAVABLE),
            )


@dataclass(frozen=True, slots=True)
class Mending:
    """What mending may do.

    Attributes
    ----------
    keep
        What happens where lines of different operations lie on each other: "report" leaves both
        and says so, "cut" keeps the stronger operation, "score" the weaker one, and "outline" the
        cut where it bounds the card and the score where card lies on both sides.
    gap
        Largest gap that is closed, mm; `tolerance.gap` when None, none when 0.
    trim
        How much of a line that runs past its end is trimmed at most, mm; `tolerance.tail` when None, and
        nothing when 0. Fold lines are carried on by `tolerance.near_run` at most, and no more than this.
    ask
        What else to do: "straighten" almost straight runs, make "arcs" whole that were split, drop
        "stubs" (cuts shorter than `tolerance.near_run` that stand alone).
    leave
        Single changes that are not to be made.

    Raises
    ------
    JobError
        When `keep` or `ask` holds an unknown word, or a limit is negative.
    """

    keep: str = "report"
    gap: float | None = None
    trim: float | None = None
    ask: frozenset[str] = frozenset()
    leave: tuple[Left, ...] = ()

    def __post_init__(self) -> None:
        if self.keep not in KEEP:
            raise JobError(
                f"'{self.keep}' says nothing about lines on each other", fix=suggest(self.keep, KEEP)
            )
        for word in sorted(self.ask):
            if word not in ASKED:
                raise JobError(f"'{word}' is nothing that can be mended when asked", fix=suggest(word, ASKED))
        for limit in (self.gap, self.trim):
            if limit is not None and not limit >= 0:
                raise JobError(f"the limit of mending is {limit:g} mm", fix="Give 0 mm or more.")


#: What is done when nothing else is said.
USUAL = Mending()
