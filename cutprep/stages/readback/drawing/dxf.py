"""A DXF drawing for a machine: light polylines of straight lines on layers that are seen, in mm.

Tags are read in pairs (Autodesk DXF Reference, Group Codes); entities of any other kind, arcs,
elevations, insertions and layers that are frozen or off are told of, since a program could take them
otherwise.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from cutprep.stages.readback.drawing.svg import Drawn, Spot

#: Millimetres in $INSUNITS (DXF Reference, HEADER section).
_MILLIMETRES = "4"
#: Codes of a light polyline that change nothing of where it lies.
_PLAIN = {"0", "5", "330", "100", "8", "62", "420", "90", "70", "10", "20"}

Tag = tuple[str, str, int]


def read_dxf_tags(text: str) -> Iterator[Drawn]:
    """Read the layers and lines of a drawing; what may not stand there comes as "other"."""
    rows = text.split("\n")
    tags = [(rows[k].strip(), rows[k + 1].strip(), k + 1) for k in range(0, len(rows) - 1, 2)]
    sections = dict(_sections(tags))
    units = next((tags[k + 1][1] for k, tag in enumerate(tags[:-1]) if tag[1] == "$INSUNITS"), "")
    if units != _MILLIMETRES:
        yield Drawn("other", 1, f"$INSUNITS {units or 'unsaid'} in place of mm")
    layers, hidden = _layers(sections.get("TABLES", []))
    for name in hidden:
        yield Drawn("other", 1, f"the layer {name}, which is frozen or off")
    if any(tag[:2] == ("0", "INSERT") for tag in sections.get("BLOCKS", [])):
        yield Drawn("other", 1, "an inserted block")
    current = None
    for entity in _records(sections.get("ENTITIES", [])):
        kind, line = entity[0][1], entity[0][2]
        if kind != "LWPOLYLINE":
            yield Drawn("other", line, kind)
            continue
        spots, layer, odd = _polyline(entity)
        if odd or spots is None:
            yield Drawn("other", line, odd or "a polyline without points")
            continue
        if layer != current:
            current = layer
            yield Drawn("layer", line, layer, layers.get(layer, ""))
        yield Drawn("line", line, spots=spots)
    if tags and tags[-1][:2] == ("0", "EOF"):
        yield Drawn("end", tags[-1][2])


def _sections(tags: list[Tag]) -> Iterator[tuple[str, list[Tag]]]:
    begun: int | None = None
    for k, (code, value, _) in enumerate(tags):
        if (code, value) == ("0", "SECTION"):
            begun = k
        elif (code, value) == ("0", "ENDSEC") and begun is not None:
            yield tags[begun + 1][1], tags[begun + 2 : k]
            begun = None


def _records(tags: list[Tag]) -> Iterator[list[Tag]]:
    """Tags from each code 0 to the next."""
    record: list[Tag] = []
    for tag in tags:
        if tag[0] == "0" and record:
            yield record
            record = []
        record.append(tag)
    if record:
        yield record


def _layers(tags: list[Tag]) -> tuple[dict[str, str], list[str]]:
    """Layer to its colour, and the layers that are not seen."""
    colours: dict[str, str] = {}
    hidden = []
    for record in _records(tags):
        if record[0][1] != "LAYER":
            continue
        values = {code: value for code, value, _ in record}
        name = values.get("2", "")
        if "420" in values:
            colour = _whole(values["420"])
            colours[name] = "no colour" if colour is None else f"#{colour:06x}"
        state = _whole(values.get("70", "0"))
        if values.get("62", "7").startswith("-") or state is None or state & 1:
            hidden.append(name)
    return colours, hidden


def _polyline(entity: list[Tag]) -> tuple[tuple[Spot, ...] | None, str, str]:
    """Vertices, layer, and what is not plain about a light polyline."""
    odd = next((f"code {code} of a polyline" for code, _, _ in entity if code not in _PLAIN), "")
    values = {code: value for code, value, _ in entity}
    try:
        xs = [float(value) for code, value, _ in entity if code == "10"]
        ys = [float(value) for code, value, _ in entity if code == "20"]
        spots = tuple(zip(xs, ys, strict=True))
    except ValueError:
        return None, "", "a polyline with an odd number"
    if not all(map(math.isfinite, (*xs, *ys))):
        return None, "", "a polyline with an odd number"
    if {"420", "62"} & set(values):
        odd = odd or "a polyline with a colour of its own"
    if len(spots) < 2:
        return None, "", odd
    flags = _whole(values.get("70", "0"))
    if flags is None:
        return None, "", "a polyline with an odd number"
    return ((*spots, spots[0]) if flags & 1 else spots), values.get("8", ""), odd


def _whole(text: str) -> int | None:
    """A plain whole number of at most nine digits, or None."""
    return int(text) if re.fullmatch(r"-?[0-9]{1,9}", text) else None
