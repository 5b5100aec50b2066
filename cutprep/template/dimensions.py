"""What a kind of template is made from: named dimensions with limits, read from `key=value`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from cutprep import units
from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.tables import near

#: Least depth of what is glued or tucked, mm; common practice, no published source. The fold check
#: warns of less.
GLUE = 6.0
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
    """

    name: str
    default: float
    meaning: str
    least: float = 1.0
    most: float = 2000.0
    count: bool = False


@dataclass(frozen=True, slots=True)
class KindOfTemplate:
    """A kind of template that can be drawn from dimensions.

    Attributes
    ----------
    name, title
        Key on the command line, and one line for the list.
    dimensions
        What it takes.
    draw
        Draws it from all dimensions by name; raises `JobError` for nonsense.
    source
        Where its arithmetic comes from.
    """

    name: str
    title: str
    dimensions: tuple[Dimension, ...]
    draw: Callable[[Mapping[str, float]], Drawing]
    source: str

    def from_words(self, words: Mapping[str, str]) -> Drawing:
        """Draw from texts such as `length=150mm`.

        Raises
        ------
        JobError
            Naming the dimension, its value and its limits.
        """
        known = {d.name: d for d in self.dimensions}
        for key in words:
            if key not in known:
                raise JobError(f"a {self.name} has no '{key}'", fix=near(key, list(known)))
        values = {name: _value(d, words.get(name)) for name, d in known.items()}
        return self.draw(values)

    def from_values(self, **values: float) -> Drawing:
        """Draw from numbers in mm; what is not named takes its default.

        Raises
        ------
        JobError
            Naming the dimension, its value and its limits.
        """
        known = {d.name: d for d in self.dimensions}
        for key, value in values.items():
            if key not in known:
                raise JobError(f"a {self.name} has no '{key}'", fix=near(key, list(known)))
            _limits(known[key], value)
        return self.draw({name: float(values.get(name, d.default)) for name, d in known.items()})


def _value(dimension: Dimension, text: str | None) -> float:
    if text is None:
        return dimension.default
    if not dimension.count:
        return _limits(dimension, units.length(text))
    try:
        return _limits(dimension, float(int(text)))
    except ValueError:
        raise JobError(f"{dimension.name} is '{text}', not a whole number") from None


def _limits(dimension: Dimension, value: float) -> float:
    unit = "" if dimension.count else " mm"
    if not dimension.least <= value <= dimension.most:
        raise JobError(
            f"{dimension.name} is {value:g}{unit}; it must be from {dimension.least:g} to "
            f"{dimension.most:g}{unit}",
            fix=f"{dimension.name}: {dimension.meaning}.",
        )
    return value


def refuse(condition: bool, problem: str, fix: str = "") -> None:
    """Refuse dimensions that make no sense together.

    Raises
    ------
    JobError
        When the condition holds.
    """
    if condition:
        raise JobError(problem, fix=fix)
