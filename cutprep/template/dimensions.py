"""What a kind of template is made from: named dimensions with limits, read from `key=value`."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from cutprep import units
from cutprep.errors import CutprepError, JobError
from cutprep.model.folded import Verdict
from cutprep.tables import suggest

EIGHTH = units.MM_PER["in"] / 8
#: What is less as it comes is room or a thickness, which nobody measures in eighths, mm.
_FINE = 3.0
#: Least depth of what is glued or tucked, mm; common practice, no published source. The fold check
#: warns of less.
GLUE = 6.0
#: tan 15 degrees: ends of flaps and tabs slant by this; common practice, no published source.
SLANT = 0.268
#: Least distance of separate pieces on one drawing, mm: no less card than a strip that holds.
APART = 3.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """One dimension of a kind.

    Attributes
    ----------
    name
        Key on the command line.
    default
        mm, or a plain number for a count.
    meaning
        One line for the help.
    least, most
        Limits.
    count
        A whole number instead of a length.
    choices
        Words to choose from instead of a length; the value is the word's place among them.
    text
        A text instead of a length; the value is always 0, and the text stands in `Values.texts`.
    standard
        Name of the size of a published standard that the default is a side of, such as "A6"; that is the same in every unit.
    """

    name: str
    default: float
    meaning: str
    least: float = 1.0
    most: float = 2000.0
    count: bool = False
    choices: tuple[str, ...] = ()
    text: bool = False
    standard: str = ""

    @property
    def plain(self) -> bool:
        """Whether it is a length."""
        return not (self.count or self.choices or self.text)

    def usual(self, unit: str = "mm", *, whole: bool = True) -> float:
        """The default, mm or a count: for one who works in inches ("in") the nearest that comes out in eighths.

        Parameters
        ----------
        unit
            In which the maker works.
        whole
            Whether all sides of a size that belongs to a standard are left at their defaults: then it keeps that size.
        """
        if unit != "in" or not self.plain or self.default < _FINE or (self.standard and whole):
            return self.default
        least, most = math.ceil(self.least / EIGHTH), math.floor(self.most / EIGHTH)
        return min(max(round(self.default / EIGHTH), least), most) * EIGHTH

    def say(self, value: float) -> str:
        """Write a value as it is typed, such as `12.5mm`, `3` or `round`."""
        if self.text:
            return ""
        if self.choices:
            return self.choices[int(value)]
        return f"{value:g}" if self.count else f"{value:g}mm"


#: What many kinds share, so that it is asked for in one way.
CALIPER = Dimension("caliper", 0.3, "thickness of the card", least=0, most=3)
PIECES_APART = Dimension("apart", 5, "distance of the pieces on the drawing", least=APART, most=50)


def lid_height(usual: float, least: float = GLUE + 1, most: float = 500.0) -> Dimension:
    """The inside height of a lid: usual, least and most, mm."""
    return Dimension("lid", usual, "inside height of the lid", least=least, most=most)


def play_between(usual: float, pieces: str) -> Dimension:
    """Room that is left on each side between pieces, such as "between box and lid": usual, mm."""
    return Dimension("play", usual, f"room {pieces} on each side", least=0, most=5)


class Values(dict[str, float]):
    """All dimensions of one template by name, mm or counts, and its texts.

    Attributes
    ----------
    texts
        Texts by name of dimension.
    """

    def __init__(self, numbers: Mapping[str, float], texts: Mapping[str, str] | None = None) -> None:
        super().__init__(numbers)
        self.texts = dict(texts or {})


@dataclass(frozen=True, slots=True)
class Expected:
    """What must come of a template; stated by arithmetic of its own, and compared with what is drawn and folded.

    Attributes
    ----------
    verdicts
        One for each part.
    inside
        Inside length, width, height of the first part in card of the stated caliper, mm, where it has any.
    area
        Card in all parts, mm2, where a closed form is stated.
    blank
        Width and height of the drawing, mm, where a closed form is stated.
    volume
        Room enclosed by the scores of the first part, mm3, where a closed form is stated.
    play
        Room that is left on each side, at least, between pieces that go into or over one another, mm.
    told
        Codes of warnings that belong to it, such as that of flaps which lie three deep on purpose.
    """

    verdicts: tuple[Verdict, ...]
    inside: tuple[float, float, float] | None = None
    area: float | None = None
    blank: tuple[float, float] | None = None
    volume: float | None = None
    play: float | None = None
    told: tuple[str, ...] = ()


def said(dimension: Dimension, text: str) -> float | str:
    """Read a typed value: a length in mm, a count, a word or a text.

    Raises
    ------
    JobError
        Naming the dimension, when it is no length or no whole number.
    """
    if dimension.plain:
        try:
            return units.length(text)
        except CutprepError as fault:
            raise JobError(f"{dimension.name}: {fault.problem}", fix=fault.fix) from None
    if not dimension.count:
        return text
    try:
        return float(int(text))
    except ValueError:
        raise JobError(f"{dimension.name} is '{text}', not a whole number") from None


def number(dimension: Dimension, value: float | str) -> float:
    """Give the value as a number within its limits: a word as its place among the choices, a text as 0.

    Raises
    ------
    JobError
        Naming the dimension, its value and its limits or choices.
    """
    if dimension.text:
        return 0.0
    if dimension.choices:
        if isinstance(value, float) and value in range(len(dimension.choices)):
            return value
        if value not in dimension.choices:
            raise JobError(
                f"{dimension.name} is '{value}'; it must be one of {', '.join(dimension.choices)}",
                fix=suggest(str(value), list(dimension.choices)),
            )
        return float(dimension.choices.index(str(value)))
    number, unit = float(value), "" if dimension.count else " mm"
    if not dimension.least <= number <= dimension.most:
        raise JobError(
            f"{dimension.name} is {number:g}{unit}; it must be from {dimension.least:g}{unit} to "
            f"{dimension.most:g}{unit}",
            fix=f"{dimension.name}: {dimension.meaning}.",
        )
    return number


def refuse(condition: bool, problem: str, fix: str = "") -> None:
    """Refuse dimensions that make no sense together.

    Raises
    ------
    JobError
        When the condition holds.
    """
    if condition:
        raise JobError(problem, fix=fix)


def at_most(what: str, room: float, otherwise: str) -> str:
    """Say how deep something glued or tucked may be; where there is less room than it needs, what to do otherwise.

    Parameters
    ----------
    what, room
        What it is, in a word, and how deep it may be, mm.
    otherwise
        A sentence.
    """
    return f"Use {what} of at most {math.floor(10 * room) / 10:g} mm." if room >= GLUE else otherwise
