"""How entities look: layer, colour, linetype, line weight, and whether they show at all.

An entity may take each from its layer ("by layer") or from the insert of the block it lies in
("by block"); one on layer 0 inside a block lies on the insert's layer. So a look is resolved
once for every kind of look under every kind of insert, not once for every entity.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Flags, Index
from cutprep.stages.read.dxf.records import Records, as_number
from cutprep.stages.read.dxf.structure import Structure
from cutprep.stages.read.dxf.words import PALETTE, clean_name

_BY_BLOCK, _BY_LAYER = 0, 256
#: Colour 7 is the ink's colour: white on a dark screen, black on paper, and this is for paper.
_INK = 7
#: Bits of group 70 of a LAYER.
_FROZEN = 1
#: The layer that drawing programs never plot.
_NEVER_PLOTTED = "defpoints"


@dataclass(frozen=True, slots=True)
class LayerRecord:
    """A row of the layer table; `weight` is in 1/100 mm, below 0 when nothing is stated."""

    name: str
    colour: str
    linetype: str
    weight: int
    hidden: str


@dataclass(frozen=True, slots=True)
class Look:
    """What an entity's own tags say about its look."""

    layer: str
    linetype: str
    colour: str
    true_colour: str
    weight: str
    scale: str
    invisible: str


@dataclass(frozen=True, slots=True)
class Seen:
    """A resolved look.

    Attributes
    ----------
    layer
        Name of the layer it lies on.
    colour
        "#rrggbb".
    linetype
        Lower-case name.
    weight
        Line weight in 1/100 mm, below 0 for none.
    scale
        Linetype scale of the entity.
    hidden
        Why it doesn't show ("off", "frozen", "not plotted", "invisible"), or empty.
    buried
        The same, but for what lies inside the block that it inserts.
    """

    layer: str
    colour: str
    linetype: str
    weight: int
    scale: float
    hidden: str = ""
    buried: str = ""


#: Around the drawing itself: nothing to inherit from.
TOP = Seen("0", "#000000", "continuous", -3, 1.0)


class Looks:
    """The looks of a file's records, and the tables that resolve them.

    Parameters
    ----------
    structure
        The file.
    chosen
        (r,) ndarray of bool: the records that are drawn or inserted.

    Attributes
    ----------
    of_record
        (r,) ndarray of int: number of each record's look; -1 where not chosen.
    seen
        Resolved looks; number 0 is that of the drawing itself.
    """

    def __init__(self, structure: Structure, chosen: Flags) -> None:
        records = structure.records
        self.layers = _read_layers(structure)
        self.patterns = _read_patterns(structure)
        self._scale = structure.variable("$LTSCALE", 40) or 1.0
        names: dict[str, str] = {}
        columns = [records.texts(code, chosen) for code in (8, 6, 62, 420, 370, 48, 60)]
        looks: dict[tuple[str, ...], int] = {}
        self.of_record: Index = np.full(len(records), -1, np.int64)
        numbers = [
            looks.setdefault(key, len(looks))
            for key, use in zip(zip(*columns, strict=True), chosen.tolist(), strict=True)
            if use
        ]
        self.of_record[chosen] = numbers
        self._looks = [Look(names.setdefault(layer, clean_name(layer)), *rest) for layer, *rest in looks]
        self.seen: list[Seen] = [TOP]
        self._numbers: dict[tuple[int, int], int] = {}

    def see(self, record: Index, around: Index) -> Index:
        """Resolve the looks of records under the inserts around them.

        Parameters
        ----------
        record
            (k,) ndarray of int.
        around
            (k,) ndarray of int: index into `seen` of the insert; 0 for the drawing itself.

        Returns
        -------
        (k,) ndarray of int
            Index into `seen`.
        """
        width = len(self.seen)
        pairs, inverse = np.unique(self.of_record[record] * width + around, return_inverse=True)
        numbers = [self._number(*divmod(pair, width)) for pair in pairs.tolist()]
        return np.array(numbers, np.int64)[inverse]

    def _number(self, look: int, around: int) -> int:
        key = (look, around)
        if key not in self._numbers:
            self._numbers[key] = len(self.seen)
            self.seen.append(self._resolve(self._looks[look], self.seen[around]))
        return self._numbers[key]

    def _resolve(self, look: Look, around: Seen) -> Seen:
        inside = around is not TOP
        name = around.layer if inside and look.layer in {"", "0"} else look.layer or "0"
        layer = self.layers.get(name.lower()) or LayerRecord(name, "#000000", "continuous", -3, "")
        linetype = look.linetype.lower() or "bylayer"
        if linetype == "bylayer":
            linetype = layer.linetype
        elif linetype == "byblock":
            linetype = around.linetype
        weight = int(as_number(look.weight, -1))
        weight = {-1: layer.weight, -2: around.weight}.get(weight, weight)
        invisible = "invisible" if as_number(look.invisible, 0) else ""
        return Seen(
            layer=layer.name,
            colour=_resolve_colour(look, layer, around),
            linetype=linetype,
            weight=weight,
            scale=as_number(look.scale, 1.0),
            hidden=around.buried or invisible or layer.hidden,
            # What lies in a block shows although the insert's layer is off, but not when it is frozen.
            buried=around.buried or invisible or (layer.hidden if layer.hidden == "frozen" else ""),
        )

    def dash(self, seen: Seen, mm_per_unit: float) -> tuple[float, ...]:
        """Dash and gap lengths in mm; empty for a solid line."""
        scale = self._scale * seen.scale * mm_per_unit
        return tuple(round(length * scale, 6) for length in self.patterns.get(seen.linetype, ()))


def _resolve_colour(look: Look, layer: LayerRecord, around: Seen) -> str:
    if look.true_colour:
        return _true_colour(look.true_colour)
    index = abs(int(as_number(look.colour, _BY_LAYER)))
    if index == _BY_BLOCK:
        return around.colour
    return _indexed_colour(index) if index < _BY_LAYER else layer.colour


def _indexed_colour(index: int) -> str:
    return "#000000" if index == _INK else f"#{PALETTE[index]:06x}"


def _true_colour(text: str) -> str:
    return f"#{int(as_number(text, 0)) & 0xFFFFFF:06x}"


def _read_layers(structure: Structure) -> dict[str, LayerRecord]:
    layers: dict[str, LayerRecord] = {}
    records = structure.records
    for record in structure.tables.get("LAYER", []):
        first: dict[int, str] = {}
        for code, value in records.pairs(record):
            first.setdefault(code, str(value).strip())
        name = clean_name(first.get(2, ""))
        index = int(as_number(first.get(62, ""), _INK))
        colour = _true_colour(first[420]) if 420 in first else _indexed_colour(min(abs(index), 255) or _INK)
        layers[name.lower()] = LayerRecord(
            name=name,
            colour=colour,
            linetype=first.get(6, "continuous").lower(),
            weight=int(as_number(first.get(370, ""), -3)),
            hidden=_why_hidden(name, index, first),
        )
    return layers


def _why_hidden(name: str, colour: int, first: dict[int, str]) -> str:
    if int(as_number(first.get(70, ""), 0)) & _FROZEN:
        return "frozen"
    if colour < 0:
        return "off"
    unplotted = name.lower() == _NEVER_PLOTTED or as_number(first.get(290, ""), 1) == 0
    return "not plotted" if unplotted else ""


def _read_patterns(structure: Structure) -> dict[str, tuple[float, ...]]:
    """Linetypes as dash, gap, dash, gap ... in drawing units; a dot is a dash of length 0."""
    return {
        structure.records.text(record, 2).lower(): _alternate(_pattern(structure.records, record))
        for record in structure.tables.get("LTYPE", [])
    }


def _pattern(records: Records, record: int) -> list[float]:
    return [as_number(str(value), 0.0) for code, value in records.pairs(record) if code == 49]


def _alternate(pattern: list[float]) -> tuple[float, ...]:
    """Join neighbours of the same kind and begin with a dash."""
    runs: list[float] = []
    drawn: list[bool] = []
    for length in pattern:
        if drawn and drawn[-1] == (length >= 0):
            runs[-1] += abs(length)
        else:
            runs.append(abs(length))
            drawn.append(length >= 0)
    if len(runs) < 2:
        return ()
    if not drawn[0]:
        runs = runs[1:] + runs[:1]
    return tuple(runs) if len(runs) % 2 == 0 else (runs[0] + runs[-1], *runs[1:-1])
