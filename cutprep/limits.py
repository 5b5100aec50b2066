"""How much a drawing, or a machine file, may ask for before reading stops with an error.

Either is input from anywhere: a file of a few kilobytes can ask for gigabytes through
entities, references, arrays of blocks or absurd bulges. Each limit is far above any template
for card and far below what would stall a home computer. None has a published source: they are
common practice, chosen so that reading stays within 10 s of a processor and 1 GiB (docs/SAFETY.md has the figures,
`python -m tests.bench.bounds` measures them).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from typing import cast

from cutprep.errors import JobError
from cutprep.tables import suggest

#: No computer of today holds as much of anything.
_NO_LIMIT = 1e15


@dataclass(frozen=True, slots=True)
class Limits:
    """Upper bounds on what a drawing, or a job made of it, may ask for.

    Attributes
    ----------
    file_bytes
        Size of the file.
    inflated_bytes
        Size of the text after gzip is undone.
    elements
        Elements or entities in the file, references not followed.
    points
        Vertices of all lines after flattening.
    curve_points
        Vertices of one flattened curve.
    fit_points
        Points that splines run through, all together, where a DXF names no control points; one such spline may have a
        fiftieth of them, since each is a system of equations.
    depth
        Nesting of elements, or of blocks within blocks.
    entity_bytes
        Text that the entities of an XML document type may expand to, all together.
    style_bytes
        Text of the style sheets inside a drawing, all together.
    declarations
        Property and value of styles that no two elements share: attributes, `style` and rules of style sheets, counted
        once for each different set of them.
    expanded
        Elements drawn through references: `use` and clips in SVG, INSERT in DXF, array cells counted each.
    coordinate
        Largest absolute coordinate, mm. Far beyond any mat, since a survey drawing may lie
        thousands of kilometres from its origin; beyond it, floating point numbers no longer tell
        points apart that are 0.01 mm apart.
    page
        Side of an SVG page, mm. No mat is 100 m long.
    copies
        Copies of one template in a job.
    fold_work
        Units of work for folding one part on the screen: about a millisecond each, but counted, so
        that the same drawing ends at the same point on every machine.
    machine_bytes
        Size of a machine file.
    moves
        Moves that one machine file asks for; a few kilobytes can ask for millions, by circles of the finest
        chords.
    instructions
        Instructions of one machine file in HP-GL, lines in G-code.
    """

    file_bytes: int = 40_000_000
    inflated_bytes: int = 40_000_000
    elements: int = 120_000
    points: int = 2_000_000
    curve_points: int = 500_000
    fit_points: int = 100_000
    depth: int = 250
    entity_bytes: int = 1_000_000
    style_bytes: int = 1_000_000
    declarations: int = 150_000
    expanded: int = 100_000
    coordinate: float = 1e11
    page: float = 100_000.0
    copies: int = 100_000
    fold_work: float = 3_000.0
    machine_bytes: int = 20_000_000
    moves: int = 1_000_000
    instructions: int = 500_000

    def __post_init__(self) -> None:
        for field in fields(self):
            if not getattr(self, field.name) > 0:
                raise ValueError(f"limit {field.name} is {getattr(self, field.name)!r}; it must be above 0")


def more(fix: str, name: str) -> str:
    """What to do about a limit: the better way first, then the option that raises it."""
    return f"{fix} If it is meant to be so, allow more with --limit {name.replace('_', '-')}=NUMBER."


def raise_limits(words: Iterable[str]) -> Limits:
    """Read limits as a maker writes them, "points=20000000"; every other one keeps its value.

    A larger `file_bytes` raises `inflated_bytes` too, as it stands for the same text.

    Raises
    ------
    JobError
        When a word names no limit, or no number above 0.
    """
    given: dict[str, float] = {}
    known = [field.name.replace("_", "-") for field in fields(Limits)]
    for word in words:
        name, _, text = (part.strip() for part in word.partition("="))
        if name not in known:
            raise JobError(f"there is no limit '{name}'", fix=suggest(name, known))
        try:
            value = float(text.replace("_", "").replace(",", ""))
        except ValueError:
            value = 0.0
        if not 1 <= value < _NO_LIMIT:
            raise JobError(
                f"the limit {name} is '{text}'", fix=f"Write a number from 1, such as {name}=20000000."
            )
        given[name.replace("-", "_")] = value
    usual = Limits()
    if "file_bytes" in given:
        given.setdefault("inflated_bytes", max(given["file_bytes"], usual.inflated_bytes))
    changes = {name: type(getattr(usual, name))(value) for name, value in given.items()}
    return replace(usual, **cast("dict[str, int]", changes))
