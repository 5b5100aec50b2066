"""The printed layers of an SVG drawing, taken out of it whole: fills, texts and pictures with their styles.

Everything drawn on another layer is taken out of the tree, and the rest stays as it was written, so that a renderer
sees what the maker drew. Nothing outside the file is ever opened: a picture in another file is refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace

from lxml import etree

from cutprep.errors import DrawingError, Place, at
from cutprep.limits import Limits
from cutprep.model.drawing import Artwork
from cutprep.model.lines import Element
from cutprep.model.text import fields_of
from cutprep.stages.read.svg.document import Document, ElementContext
from cutprep.stages.read.svg.elements import DRAWN, GROUPS, href_of, join_layer
from cutprep.stages.read.svg.notes import Notes
from cutprep.stages.read.svg.style import Style
from cutprep.stages.read.svg.xml import SVG, line_of, parse_xml
from cutprep.tolerance import Tolerance

#: Pictures that stand in the file itself; an SVG in a picture could name other files again.
_EMBEDDED = re.compile(r"data:image/(?:png|jpe?g|gif|webp)[;,]", re.IGNORECASE)
#: A paint, a filter, a mask or a style sheet that lies outside the file.
_ELSEWHERE = re.compile(r"url\(\s*[\"']?\s*(?!#|data:|[\"'\s])|@import\b", re.IGNORECASE)
_PICTURES = frozenset({"image", "feImage"})
#: What may refer to something drawn elsewhere in the file.
_DEFINED = frozenset({"defs", "symbol"})

Prints = Callable[[Element], bool]


def read_artwork(
    data: bytes,
    *,
    file: str,
    prints: Prints,
    tolerance: Tolerance,
    units: str | None = None,
    limits: Limits,
) -> Artwork | None:
    """Take out what is printed.

    Parameters
    ----------
    data
        The SVG's bytes, plain or gzip.
    file
        Its name, for places.
    prints
        Whether an element is for printing, by its layer, its own name and its stroke's colour.
    tolerance, units, limits
        As for `read_svg`.

    Returns
    -------
    Artwork or None
        None when nothing is printed.

    Raises
    ------
    DrawingError
        When the file can't be read, names no size of its page, or a printed picture stands in another file.
    """
    with at(file=file):
        root = parse_xml(data, limits).root
        document = Document(root, Notes(file), tolerance, limits)
        page = document.page(units)
        kept, dropped = _sorted_out(document, prints, file)
        if not kept:
            return None
        if page.size is None:
            raise DrawingError(
                "a layer is for printing, but the drawing names no size of its page, so nobody knows how large to print it",
                fix="Give the outermost element a width, a height and a viewBox.",
            )
        _define_what_is_used(document, kept)
        texts = sum(document.kind(node) == "text" for node in kept)
        for node in dropped:
            parent = node.getparent()
            if parent is not None:
                parent.remove(node)
        _refuse_other_files(root)
        unit = page.matrix[0]
        for name, value in (
            ("x", "0"),
            ("y", "0"),
            ("width", f"{page.size[0]:.6g}"),
            ("height", f"{page.size[1]:.6g}"),
        ):
            root.set(name, value)
        if root.get("viewBox") is None:
            root.set("viewBox", f"0 0 {page.size[0] / unit:.9g} {page.size[1] / unit:.9g}")
        return Artwork(etree.tostring(root, encoding="unicode"), page.size, texts=texts)


def _sorted_out(
    document: Document, prints: Prints, file: str
) -> tuple[list[etree._Element], list[etree._Element]]:
    """What is drawn and printed, and what is drawn and not."""
    kept: list[etree._Element] = []
    dropped: list[etree._Element] = []
    stack = [(document.root, ElementContext((1.0, 0.0, 0.0, 1.0, 0.0, 0.0), Style(), "", 100.0, 100.0))]
    while stack:
        group, frame = stack.pop()
        for node in group:
            kind = document.kind(node)
            if kind not in DRAWN:
                continue
            own = document.own(node)
            style = document.style(own, frame)
            layer = join_layer(frame.layer, own.name) if kind in GROUPS else frame.layer
            if kind in GROUPS and kind != "use":
                stack.append((node, replace(frame, style=style, layer=layer)))
                continue
            element = Element(
                file=file,
                line=line_of(node),
                tag=kind,
                ident=own.ident,
                layer=layer,
                label=own.label,
                colour=style.stroke.colour if style.has_stroke else None,
            )
            place_for_words = kind == "text" and fields_of("".join(map(str, node.itertext())))
            (kept if prints(element) and not place_for_words else dropped).append(node)
    return kept, dropped


def _define_what_is_used(document: Document, kept: list[etree._Element]) -> None:
    """Copy what printed references stand for aside, since the drawn one may lie on a layer that is not printed."""
    aside = None
    for node in kept:
        for use in node.iter(f"{SVG}use", "use"):
            target = document.ids.get(href_of(use)[1:]) if href_of(use).startswith("#") else None
            if target is None or any(document.kind(up) in _DEFINED for up in target.iterancestors()):
                continue
            if aside is None:
                aside = etree.SubElement(document.root, f"{str(document.root.tag).removesuffix('svg')}defs")
            copy = deepcopy(target)
            copy.set("id", f"printed-{len(aside) + 1}")
            copy.tail = None
            aside.append(copy)
            for name in [key for key in use.attrib if str(key).rpartition("}")[2] == "href"]:
                del use.attrib[name]
            use.set("href", f"#printed-{len(aside)}")


def _refuse_other_files(root: etree._Element) -> None:
    for node in root.iter("{*}*"):
        href = href_of(node)
        name = etree.QName(node).localname
        if name in _PICTURES and href and not href.startswith("#") and not _EMBEDDED.match(href):
            where = "an SVG within it" if href.startswith("data:") else f"another file ('{href[:60]}')"
            raise DrawingError(
                f"a printed picture stands in {where}; other files are never opened",
                fix="Embed the picture in the drawing as PNG or JPEG.",
                place=Place(line=line_of(node)),
            )
        said = [*map(str, node.attrib.values()), (node.text or "") if name == "style" else ""]
        if any(map(_ELSEWHERE.search, said)) or (name == "use" and href and not href.startswith("#")):
            raise DrawingError(
                f"what is printed takes something from another file (<{name}>); other files are never opened",
                fix="Save the drawing with all that it needs in it.",
                place=Place(line=line_of(node)),
            )
