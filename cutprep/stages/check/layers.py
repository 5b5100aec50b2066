"""The table of layers: what stands on each, what is done with it, and which rule said so."""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.model.drawing import Drawing
from cutprep.model.operation import Operation


@dataclass(frozen=True, slots=True)
class LayerRow:
    """Lines of one layer that are treated and drawn alike.

    Attributes
    ----------
    layer, operation, rule
        The layer's name, what is done with these lines, and the rule that placed them.
    colour, dash
        How they are drawn; dash lengths in mm.
    lines, length_mm
        How many there are, and their length together.
    """

    layer: str
    operation: Operation
    rule: str
    colour: str | None
    dash: tuple[float, ...]
    lines: int
    length_mm: float


def tabulate(drawing: Drawing) -> tuple[LayerRow, ...]:
    """Sum the lines by layer, operation, rule, colour and dash, in the order of first appearance."""
    lines = drawing.lines
    sums: dict[tuple[str, int, str, str | None, tuple[float, ...]], tuple[int, float]] = {}
    columns = (lines.source.tolist(), lines.operation.tolist(), lines.lengths.tolist())
    for source, operation, length in zip(*columns, strict=True):
        element = lines.elements[source]
        rule = drawing.rules[source] if drawing.rules else ""
        key = (element.layer, operation, rule, element.colour, element.dash)
        count, total = sums.get(key, (0, 0.0))
        sums[key] = (count + 1, total + length)
    return tuple(
        LayerRow(layer, Operation(operation), rule, colour, dash, count, total)
        for (layer, operation, rule, colour, dash), (count, total) in sums.items()
    )
