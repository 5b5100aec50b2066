"""Texts with words in braces, such as `{name}`: places where each copy gets a text of its own.

Every other text is left out, since letters are no lines. Rules: SVG 2, 11.2 "The text and tspan elements" and 11.10.2
"Text alignment".
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from lxml import etree

from cutprep.model.lines import Element
from cutprep.model.text import CAPITAL, TextPlace, fields_of
from cutprep.stages.read.svg.document import Document, ElementContext, Own
from cutprep.stages.read.svg.shapes.basic import Sizes
from cutprep.stages.read.svg.shapes.transform import Matrix, size_factor
from cutprep.stages.read.svg.style import Style
from cutprep.stages.read.svg.xml import line_of

_ANCHORS = ("start", "middle", "end")
#: Text whose middle stands on its line, and not its foot.
_CENTRED = ("middle", "central")


def text_places(
    document: Document, node: etree._Element, own: Own, frame: ElementContext, *, braces: bool
) -> tuple[list[TextPlace], bool]:
    """Find the places for words that a text marks.

    Parameters
    ----------
    document
        The document.
    node
        A `text` element that says something.
    own
        What it says of itself.
    frame
        What it is drawn within.
    braces
        Whether there is a brace in it at all.

    Returns
    -------
    places
        One for each of its lines that holds a word in braces.
    more
        Whether it says anything else.
    """
    style = document.style(own, frame)
    matrix = document.matrix(node, own, frame, style)
    if matrix is None:
        return [], False
    if not braces:
        return [], True
    places, more = [], False
    for run in _runs(node):
        words = " ".join("".join(map(str, run.itertext())).split())
        if not fields_of(words):
            more = more or bool(words)
            continue
        places.append(_place(document, node, run, words, (matrix, style, frame, own)))
    return places, more


def _runs(node: etree._Element) -> list[etree._Element]:
    """Lines of a text: spans that begin a line of their own, or the whole text."""
    spans = [child for child in _children(node) if child.get("y") is not None or child.get("dy") is not None]
    return spans if len(spans) > 1 and not (node.text or "").strip() else [node]


def _children(node: etree._Element) -> Iterator[etree._Element]:
    return (child for child in node if isinstance(child.tag, str))


def _place(
    document: Document,
    node: etree._Element,
    run: etree._Element,
    words: str,
    around: tuple[Matrix, Style, ElementContext, Own],
) -> TextPlace:
    matrix, style, frame, own = around
    chain = _chain(node, run)
    for inner in chain[1:]:
        style = document.cascade.inherit(style, document.own(inner).declared, frame.width, frame.height)
    sizes = Sizes(lambda name: _nearest(chain, name), document.scale(frame, style))
    height = style.font * CAPITAL
    x, y = sizes.length("x", "x") + sizes.length("dx", "x"), sizes.length("y", "y") + sizes.length("dy", "y")
    if _property(document, chain, "dominant-baseline") in _CENTRED:
        y += height / 2
    a, b, c, d, e, f = matrix
    anchor = _property(document, chain, "text-anchor")
    return TextPlace(
        words=words,
        at=(a * x + c * y + e, b * x + d * y + f),
        height=height * size_factor(matrix),
        turn=math.degrees(math.atan2(b, a)),
        anchor=anchor if anchor in _ANCHORS else "start",
        element=Element(
            file=document.notes.file,
            line=line_of(node),
            tag="text",
            ident=own.ident,
            layer=frame.layer,
            label=own.label,
            colour=style.fill.colour if style.has_fill else style.stroke.colour,
        ),
    )


def _chain(node: etree._Element, run: etree._Element) -> list[etree._Element]:
    """From the text down to the span that holds all of a line's words."""
    chain = [node] if run is node else [node, run]
    while True:
        children = list(_children(chain[-1]))
        if len(children) != 1 or (chain[-1].text or "").strip() or (children[0].tail or "").strip():
            return chain
        chain.append(children[0])


def _nearest(chain: list[etree._Element], name: str) -> str | None:
    """The first length of an attribute that may list several, from the innermost span that has it."""
    for node in reversed(chain):
        text = node.get(name)
        if text is not None and text.split():
            return str(text.replace(",", " ").split()[0])
    return None


def _property(document: Document, chain: list[etree._Element], name: str) -> str:
    """An inherited property of a text, from the spans and the groups around."""
    around = [*chain[::-1], *chain[0].iterancestors()]
    found = (document.own(node, again=True).declared.values.get(name) for node in around)
    return next((value.strip().lower() for value in found if value), "")
