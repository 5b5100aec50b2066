"""How lines look in files for people and other programs: layer name, colour, dash, width.

The names are words that reading places again without any rule. Lines that look alike in black
and white are told apart by their dashes; the colours are our own.
"""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.model.lines import Lines
from cutprep.model.operation import Fold, Operation

_EARTH, _OCHRE, _SEA, _PLUM, _STONE, _RUST = "#2b2118", "#8a5300", "#00695f", "#6b3f8f", "#6f6a63", "#a03020"
_SLATE = "#44607a"


@dataclass(frozen=True, slots=True)
class LayerStyle:
    """The look of one layer.

    Attributes
    ----------
    layer
        Its name; "/" parts nested groups.
    colour
        "#rrggbb".
    dash
        Lengths, mm; empty for a solid line.
    width
        mm.
    """

    layer: str
    colour: str
    dash: tuple[float, ...] = ()
    width: float = 0.25


#: Operation and fold to the house's layers, in the order in which a legend lists them.
HOUSE: dict[tuple[Operation, Fold], LayerStyle] = {
    (Operation.CUT, Fold.UNSAID): LayerStyle("cut", _EARTH, (), 0.35),
    (Operation.PARTIAL_CUT, Fold.UNSAID): LayerStyle("partial cut", _EARTH, (6.0, 1.2)),
    (Operation.PERFORATE, Fold.UNSAID): LayerStyle("perforate", _SEA, (0.8, 1.2), 0.35),
    (Operation.PERFORATE, Fold.VALLEY): LayerStyle("perforate valley", _SEA, (0.8, 1.2, 2.4, 1.2), 0.35),
    (Operation.PERFORATE, Fold.MOUNTAIN): LayerStyle(
        "perforate mountain", _SEA, (0.8, 1.2, 0.8, 1.2, 2.4, 1.2), 0.35
    ),
    (Operation.SCORE, Fold.UNSAID): LayerStyle("score", _OCHRE, (2.0, 2.0)),
    (Operation.SCORE, Fold.VALLEY): LayerStyle("score valley", _OCHRE, (4.0, 1.5)),
    (Operation.SCORE, Fold.MOUNTAIN): LayerStyle("score mountain", _OCHRE, (4.0, 1.0, 0.5, 1.0, 0.5, 1.0)),
    (Operation.DRAW, Fold.UNSAID): LayerStyle("draw", _PLUM, (), 0.18),
    (Operation.GUIDE, Fold.UNSAID): LayerStyle("guide", _STONE, (0.5, 2.0), 0.13),
    (Operation.PRINT, Fold.UNSAID): LayerStyle("print", _SLATE, (), 0.13),
    (Operation.UNPLACED, Fold.UNSAID): LayerStyle("unplaced", _RUST, (8.0, 2.0)),
}


def style_of(lines: Lines, i: int, *, keep: bool = False) -> LayerStyle:
    """The look of a line.

    Parameters
    ----------
    lines, i
        The line.
    keep
        Keep the layer, colour, dash and width that its element came with, where it has them.
    """
    house = HOUSE.get((Operation(int(lines.operation[i])), Fold(int(lines.fold[i]))))
    if house is None:  # an unplaced line with a fold
        house = HOUSE[Operation.UNPLACED, Fold.UNSAID]
    if not keep:
        return house
    element = lines.element(i)
    return LayerStyle(
        layer=element.layer or ("" if element.file else house.layer),
        colour=element.colour or house.colour,
        dash=element.dash if element.file else element.dash or house.dash,
        width=element.width or house.width,
    )


def by_layer(lines: Lines, *, keep: bool = False) -> dict[str, list[tuple[int, LayerStyle]]]:
    """Lines with their looks, by layer, in the order in which the layers first come."""
    layers: dict[str, list[tuple[int, LayerStyle]]] = {}
    for i in range(len(lines)):
        style = style_of(lines, i, keep=keep)
        layers.setdefault(style.layer, []).append((i, style))
    return layers
