"""How much a drawing may ask for before reading stops with an error.

A drawing is input from anywhere: a file of a few kilobytes can ask for gigabytes through
entities, references, arrays of blocks or absurd bulges. Each limit is far above any template
for card and far below what would stall a home computer. None has a published source: they are
common practice, chosen so that reading stays within 2 GiB and a few minutes (docs/SAFETY.md has the figures).
"""

from __future__ import annotations

from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class Limits:
    """Upper bounds while reading.

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
    depth
        Nesting of elements, or of blocks within blocks.
    entity_bytes
        Text that the entities of an XML document type may expand to, all together.
    expanded
        Elements drawn through references: `use` in SVG, INSERT in DXF, array cells counted each.
    coordinate
        Largest absolute coordinate, mm. Far beyond any mat, since a survey drawing may lie
        thousands of kilometres from its origin; beyond it, floating point numbers no longer tell
        points apart that are 0.01 mm apart.
    """

    file_bytes: int = 80_000_000
    inflated_bytes: int = 80_000_000
    elements: int = 1_500_000
    points: int = 10_000_000
    curve_points: int = 500_000
    depth: int = 250
    entity_bytes: int = 1_000_000
    expanded: int = 500_000
    coordinate: float = 1e11

    def __post_init__(self) -> None:
        for field in fields(self):
            if not getattr(self, field.name) > 0:
                raise ValueError(f"limit {field.name} is {getattr(self, field.name)!r}; it must be above 0")
