"""What reading and classifying tell: a few elements of SVG or records of DXF for each code."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from unittest.mock import patch

import cutprep
from cutprep.model.findings.finding import Findings
from cutprep.model.rules import Rules
from cutprep.stages.classify import classify
from cutprep.stages.read.reader import read
from cutprep.stages.read.svg import second as svg_second
from cutprep.tolerance import Tolerance
from tests import dxf_text, svg_text
from tests.dxf_text import MM, block, drawing, entity, header, insert, line, section, text
from tests.svg_text import SPACE, svg

LINE = "<path d='M0 0H9'/>"
BOX = "<clipPath id='c'><rect x='10' y='10' width='20' height='20'/></clipPath>"
CUT = line(0, 0, 9, 0)

#: Code to elements on a page of 60 mm that hold a line beside.
_SVG = {
    "text-left-out": "<text>lid</text>",
    "image-left-out": "<image href='a.png' width='9' height='9'/>",
    "foreign-left-out": "<foreignObject width='9' height='9'/>",
    "hidden-left-out": f"<g display='none'>{LINE}</g>",
    "unpainted-left-out": "<path stroke='none' d='M0 0H9'/>",
    "far-left-out": "<circle r='1e7'/>",
    "flat-left-out": f"<g transform='scale(0)'>{LINE}</g>",
    "marker-left-out": "<marker id='m'/><path marker-end='url(#m)' d='M0 5H9'/>",
    "clip-applied": f"{BOX}<path clip-path='url(#c)' d='M0 20H60'/>",
    "clip-left-out": f"{BOX}<path clip-path='url(#c)' d='M0 0H5'/>",
    "clip-ignored": "<path clip-path='circle(5px)' d='M0 50H50'/>",
    "mask-ignored": "<mask id='m'/><path mask='url(#m)' d='M0 50H50'/>",
    "use-left-out": "<use href='#none'/>",
    "use-cycle": "<use id='u' href='#u'/>",
    "outside-left-out": "<use href='other.svg#a'/>",
    "empty-viewport": f"<svg width='0'>{LINE}</svg>",
    "style-left-out": "<style>@import url(a.css);</style>",
    "style-ignored": "<style>{stroke:red}</style>",
    "media-left-out": "<style media='print'>path{stroke:red}</style>",
    "transform-ignored": f"<g transform='scale(2) qq'>{LINE}</g>",
    "path-cut-short": "<path d='M0 0H9L1 x'/>",
    "size-ignored": "<rect width='9' height='9' rx='-1'/>",
    "xml-repaired": f"<g ink:label='cut'>{LINE}</g>",
}

#: Code to records beside a line.
_DXF = {
    "point-left-out": entity("POINT", (8, "0"), (10, 0), (20, 0)),
    "dimension-left-out": entity("DIMENSION", (8, "0")),
    "table-left-out": entity("ACAD_TABLE", (8, "0")),
    "endless-line-left-out": entity("XLINE", (8, "0"), (10, 0), (20, 0)),
    "solid-left-out": entity("3DSOLID", (8, "0")),
    "unknown-left-out": entity("ACAD_PROXY_ENTITY", (8, "0")),
    "paper-space-left-out": line(0, 0, 9, 9, (67, 1)),
    "missing-block": insert("lid"),
    "broken-left-out": entity("CIRCLE", (8, "cut"), (10, 0), (20, 0)),
    "no-length-left-out": line(1, 1, 1, 1),
    "wide-line": entity("LWPOLYLINE", (8, "cut"), (90, 2), (43, 2.0), (10, 0), (20, 5), (10, 9), (20, 5)),
    "thick-line": line(0, 5, 9, 5, (39, 5)),
    "projected": line(0, 5, 9, 5, (30, 0), (31, 5)),
    "raised": line(0, 5, 9, 5, (30, 4), (31, 4)),
}

_STROKE = block("tab", line(0, 0, 5, 0))
_OTHER_UNIT = section("TABLES", entity("BLOCK_RECORD", (2, "tab"), (70, 1)))


def _in_a_file(name: str, content: str, *, inch: float = 25.4) -> Findings:
    with tempfile.TemporaryDirectory() as folder, patch.object(svg_second, "_MM_PER_INCH", inch):
        path = Path(folder) / name
        path.write_text(content, encoding="utf-8")
        return read(path, tolerance=Tolerance()).notes


def _classified(body: str) -> Findings:
    return classify(svg_text.read_body(body), Rules()).notes


def _dxf_to_print() -> Findings:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "tag.dxf"
        path.write_text(drawing(CUT), encoding="utf-8")
        return cutprep.read(path, layers={"cut": "print"}).notes


def _dxf(source: str, units: str | None = None) -> Findings:
    return dxf_text.read_text(source, units=units).notes


EXAMPLES: dict[str, Callable[[], Findings]] = {
    **{code: (lambda body=body: svg_text.read_body(f"{body}{LINE}").notes) for code, body in _SVG.items()},
    **{code: partial(_dxf, drawing(CUT, record)) for code, record in _DXF.items()},
    "print-left-out": _dxf_to_print,
    "unplaced-line": partial(_classified, f"<g id='lid'>{LINE}</g>"),
    "fill-left-out": partial(
        _classified, f"<g id='cut'>{LINE}</g><path fill='red' stroke='none' d='M0 0H9V9z'/>"
    ),
    "wrong-extension": partial(_in_a_file, "tray.dxf", svg(LINE)),
    "size-in-doubt": partial(
        _in_a_file, "d.svg", svg(LINE, f"{SPACE} width='3in' height='3in' stroke='red'"), inch=25.0
    ),
    "unit-assumed": partial(_dxf, drawing(CUT, head=None)),
    "unit-not-used": partial(_dxf, drawing(CUT, head=header(INSUNITS=(70, 1))), units="mm"),
    "page-stretched": lambda: (
        svg_text.read_body(
            LINE,
            f"{SPACE} width='90mm' height='60mm' viewBox='0 0 60 60' preserveAspectRatio='none' stroke='red'",
        ).notes
    ),
    "page-fitted": lambda: (
        svg_text.read_body(LINE, f"{SPACE} width='90mm' height='60mm' viewBox='0 0 60 60' stroke='red'").notes
    ),
    "huge-drawing": partial(_dxf, drawing(line(0, 0, 500, 0), head=header(INSUNITS=(70, 6)))),
    "block-unit": partial(
        _dxf, text([MM, _OTHER_UNIT, section("BLOCKS", _STROKE), section("ENTITIES", insert("tab"))])
    ),
    "foreign-block": partial(_dxf, drawing(CUT, insert("other"), blocks=[block("other", flags=4)])),
    "repaired": partial(_dxf, text([MM, section("ENTITIES", CUT)], end=False)),
}
