r"""Texts with words in braces, such as `{name}`: places where each copy gets a text of its own.

Group codes of TEXT and MTEXT: Autodesk DXF Reference, ENTITIES section. In MTEXT a brace that is meant is written `\{`, and a
plain one groups; `{name}` alone is understood too.
"""

from __future__ import annotations

import math
import re

import numpy as np

from cutprep.model.lines import Element, Flags
from cutprep.model.text import TextPlace, fields_of
from cutprep.stages.read.dxf.looks import Looks
from cutprep.stages.read.dxf.records import Records
from cutprep.stages.read.dxf.structure import Structure

_KINDS = frozenset({"TEXT", "MTEXT"})
#: TEXT, group 72: what of the line stands at its point; 3 and 5 stretch it between two points.
_ALONG = {1: "middle", 2: "end", 4: "middle"}
#: Groups 73 of TEXT and 71 of MTEXT: how far the foot of the capitals lies below the point, as a share of their height.
_BELOW = {2: 0.5, 3: 1.0}
_ATTACHED = ("start", "middle", "end")
_CODES = re.compile(r"\\[ACcfFHQTWp][^;]*;|\\[LlOoKkN]")


def text_places(structure: Structure, chosen: Flags, mm: float, file: str) -> dict[int, TextPlace]:
    """Find the places for words that texts mark.

    Parameters
    ----------
    structure
        The file.
    chosen
        (r,) ndarray of bool: the records of the drawing itself; texts in blocks mark nothing.
    mm
        Length of a unit, mm.
    file
        Its name.

    Returns
    -------
    dict
        Record to place, of those that show.
    """
    records = structure.records
    found = [
        i
        for i in np.flatnonzero(chosen).tolist()
        if records.kind[i] in _KINDS and fields_of(_words(records, i))
    ]
    if not found:
        return {}
    some = np.zeros(len(records), bool)
    some[found] = True
    looks = Looks(structure, some)
    seen = looks.see(np.array(found), np.zeros(len(found), np.int64))
    return {
        i: _place(records, i, mm, file, looks.seen[look].layer, looks.seen[look].colour)
        for i, look in zip(found, seen.tolist(), strict=True)
        if not looks.seen[look].hidden
    }


def _words(records: Records, record: int) -> str:
    if records.kind[record] == "TEXT":
        return records.text(record, 1)
    whole = "".join(str(value) for code, value in records.pairs(record) if code in (1, 3))
    plain = _CODES.sub("", whole.replace("\\P", " ").replace("\\~", " "))
    if "\\{" in plain:
        plain = re.sub(r"(?<!\\)[{}]", "", plain)
    return plain.replace("\\{", "{").replace("\\}", "}").strip()


def _place(records: Records, record: int, mm: float, file: str, layer: str, colour: str) -> TextPlace:
    def number(code: int, default: float = 0.0) -> float:
        return records.number(record, code, default)

    height, turn = number(40, 1.0) * mm, number(50)
    along, up = int(number(72)), int(number(73))
    spot = (number(10), number(20))
    if records.kind[record] == "MTEXT":
        attached = max(1, min(9, int(number(71, 1.0)))) - 1
        anchor, below = _ATTACHED[attached % 3], (1.0, 0.5, 0.0)[attached // 3]
        if number(11) or number(21):
            turn = math.degrees(math.atan2(number(21), number(11)))
    else:
        anchor, below = _ALONG.get(along, "start"), 0.5 if along == 4 else _BELOW.get(up, 0.0)
        if along or up:
            spot = (number(11, spot[0]), number(21, spot[1]))
    angle = math.radians(turn)
    return TextPlace(
        words=_words(records, record),
        at=(
            spot[0] * mm + math.sin(angle) * below * height,
            spot[1] * mm - math.cos(angle) * below * height,
        ),
        height=height,
        turn=turn,
        anchor=anchor,
        element=Element(
            file=file,
            line=records.line(record),
            tag=records.kind[record],
            ident=records.text(record, 5),
            layer=layer,
            colour=colour,
        ),
    )
