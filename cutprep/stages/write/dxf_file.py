"""A plan or a mended drawing as DXF: real size in mm, layers by operation.

DXF R2010 with light polylines (the first versions know no true colours), written by ezdxf, which knows the frame that CAD programs expect.
What ezdxf stamps with the time of day is fixed, so that the same lines give the same file. The library takes nearly half a
second to load, so it is loaded by the first file that is written.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from cutprep.model.lines import Lines
from cutprep.model.text import TextPlace
from cutprep.quiet import quietly
from cutprep.stages.write.curves import pieces_of
from cutprep.stages.write.layer_style import LayerStyle, by_layer

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

#: Millimetres in $INSUNITS (Autodesk DXF Reference, HEADER section); ezdxf's own default is metres.
_MILLIMETRES = 4
#: Decimals of a coordinate and of a bulge: further ones hang on how a processor rounds, and the same job gives the same file.
_DECIMALS = 9
#: Where ezdxf puts the time of day into the header, and what stands there instead: the first day of 2000, and no identifier.
_STAMPS = (
    (re.compile(r"(\$TDU?(?:CREATE|UPDATE)\n *40\n)[^\n]*"), r"\g<1>2451545.0"),
    (
        re.compile(r"(\$(?:FINGERPRINT|VERSION)GUID\n *2\n)[^\n]*"),
        r"\g<1>{00000000-0000-0000-0000-000000000000}",
    ),
)
_MARK = re.compile(r"(?<=\n)\d+\.\d+[\w.]* @ \d{4}-\d\d-\d\dT[\d:.]*\+00:00(?=\n)")
_FIRST_DAY = "0.0 @ 2000-01-01T00:00:00.000000+00:00"
#: Characters that a layer's name may not hold (DXF Reference, symbol table names). What can't be printed
#: is left out too: the file is made of lines, and some readers end one at more than a line feed.
_UNFIT = re.compile(r"[<>/\\\":;?*|=,`'\x00-\x1f]+")


def write_dxf(
    lines: Lines, *, keep: bool = False, arcs: bool = False, texts: Sequence[TextPlace] = ()
) -> str:
    """Write lines as DXF.

    Parameters
    ----------
    lines
        mm, y up.
    keep
        Keep the elements' own layers, colours and dashes; else layers by operation.
    arcs
        Say flattened arcs as bulges again (within 0.0025 mm at every vertex); else every vertex is kept.
    texts
        Places for words of each copy.

    Returns
    -------
    str
        The file; the same lines give the same text.
    """
    with quietly():
        from ezdxf.filemanagement import new
    document = new("R2010", setup=False)
    document.units = _MILLIMETRES
    document.header["$MEASUREMENT"] = 1
    space = document.modelspace()
    names: dict[str, str] = {}
    for layer, members in by_layer(lines, keep=keep).items():
        name = _layer_name(layer, names)
        common = members[0][1]
        if name == "0":
            common = LayerStyle("", "")
        elif name not in document.layers:
            entry = document.layers.add(name, linetype=_linetype(document, common.dash))
            entry.dxf.true_color = _colour(common)
        for i, style in members:
            spots = _spots(lines, i, arcs)
            looks = _attributes(document, name, style, common)
            space.add_lwpolyline(spots, format="xyb", close=bool(lines.closed[i]), dxfattribs=looks)
    for place in texts:
        _add_text(space, place, _layer_name(place.element.layer or "draw", names))
    for kind in sorted(document.entitydb.dxf_types_in_use()):  # ezdxf adds them in the order of a set
        document.classes.add_class(kind)
    text = io.StringIO()
    document.write(text)
    return _without_dates(text.getvalue())


def _add_text(space: Modelspace, place: TextPlace, layer: str) -> None:
    """A place for words: groups 72 and 73 of TEXT say what stands at its point."""
    looks = {"layer": layer, "height": place.height, "rotation": place.turn, "insert": place.at}
    if place.anchor != "start":
        looks |= {"halign": 1 if place.anchor == "middle" else 2, "align_point": place.at}
    space.add_text(place.words, dxfattribs=looks)


def _attributes(document: Document, layer: str, style: LayerStyle, common: LayerStyle) -> dict[str, object]:
    attributes: dict[str, object] = {"layer": layer}
    if style.colour != common.colour:
        attributes["true_color"] = _colour(style)
    if style.dash != common.dash:
        attributes["linetype"] = _linetype(document, style.dash)
    return attributes


def _spots(lines: Lines, i: int, arcs: bool) -> list[tuple[float, float, float]]:
    """Vertices with bulges: the tangent of a quarter of an arc's sweep (DXF Reference, LWPOLYLINE)."""
    points, curved = np.round(lines.points(i), _DECIMALS) + 0.0, lines.curves(i)
    new = np.append(True, (np.diff(points, axis=0) != 0).any(axis=1))
    if new.sum() > 1:
        points, curved = points[new], curved[new]
    spots: list[tuple[float, float, float]] = []
    for piece in pieces_of(points, curved, arcs=arcs):
        if piece.centre is not None:
            spots.append((*points[piece.first].tolist(), round(math.tan(piece.sweep / 4), _DECIMALS)))
        else:
            spots += [(x, y, 0.0) for x, y in points[piece.first : piece.last].tolist()]
    return spots if lines.closed[i] else [*spots, (*points[-1].tolist(), 0.0)]


def fit_layer_name(layer: str) -> str:
    """What becomes of a layer's name in a DXF file, but for the number that tells equal ones apart."""
    printable = "".join(c if c.isprintable() else "-" for c in layer)
    return _UNFIT.sub("-", printable).strip()[:200] or "0"


def _layer_name(layer: str, names: dict[str, str]) -> str:
    """A name that DXF allows, the same for the same layer and another for every other one."""
    plain = fit_layer_name(layer)
    name, n = plain, 2
    while names.get(name.lower(), layer) != layer:
        name, n = f"{plain} ({n})", n + 1
    names[name.lower()] = layer
    return name


def _colour(style: LayerStyle) -> int:
    digits = style.colour.removeprefix("#")
    return int(digits, 16)  # group 420 holds 0xRRGGBB


def _linetype(document: Document, dash: tuple[float, ...]) -> str:
    if not dash:
        return "Continuous"
    whole = dash if len(dash) % 2 == 0 else dash * 2  # an odd list repeats itself (SVG 2, 13.5.6)
    name = "dash " + " ".join(f"{d:g}" for d in whole)
    name = name[:200].replace(".", "_")
    if name not in document.linetypes:
        pattern = [sum(whole), *(d if k % 2 == 0 else -d for k, d in enumerate(whole))]
        document.linetypes.add(name, pattern, description=name)
    return name


def _without_dates(text: str) -> str:
    """Put fixed dates and identifiers in the place of today's."""
    head, mark, tail = text.partition("\n  2\nCLASSES\n")
    for stamp, fixed in _STAMPS:
        head = stamp.sub(fixed, head)
    return head + mark + _MARK.sub(_FIRST_DAY, tail)
