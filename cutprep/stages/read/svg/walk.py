"""The walk over the tree: which elements are drawn, where, and in which style.

Why not a library: the tree walks at hand draw what must not be drawn (symbols where they are
defined, masks, markers, unknown elements), lose viewports, and recurse without end on references
in a circle (measured for each feature; the tests hold one drawing for each). So the walk is our
own, after the specification: only containers that render are entered, references are followed
with a memory of where they came from, and a stack of our own takes the place of recursion.

Rules: SVG 2, chapter 5 "Document Structure".
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from lxml import etree

from cutprep.errors import DrawingError, Place
from cutprep.limits import Limits, more
from cutprep.model.lines import Element
from cutprep.model.text import TextPlace
from cutprep.stages.read.svg.beside.texts import text_places
from cutprep.stages.read.svg.document import Document, ElementContext, Host, Own
from cutprep.stages.read.svg.elements import DRAWN, GROUPS, LEFT_OUT, href_of, join_layer, passes
from cutprep.stages.read.svg.shapes.basic import TRACERS, Sizes
from cutprep.stages.read.svg.shapes.lines import Shapes
from cutprep.stages.read.svg.shapes.transform import Matrix, compose, is_flat, shift, size_factor
from cutprep.stages.read.svg.shapes.viewport import fit, parse_view_box
from cutprep.stages.read.svg.style import Style
from cutprep.stages.read.svg.values import LengthContext, parse_url
from cutprep.stages.read.svg.within import Within
from cutprep.stages.read.svg.xml import line_of

#: Clones of clones of clones are drawn by nobody so deep; no published source.
_MOST_REFERENCES = 64


class Clip(NamedTuple):
    """A clip that lies over elements.

    Attributes
    ----------
    node
        The `clipPath` element; None for a viewport.
    box
        Left, top, width, height of the viewport, user units of `frame`.
    frame
        Where it lies.
    outer
        Index of the clip around it, -1 for none.
    """

    node: etree._Element | None
    box: tuple[float, float, float, float]
    frame: ElementContext
    outer: int


class DocumentWalk:
    """Walks a document and collects its shapes.

    Parameters
    ----------
    document
        The document.
    limits
        Upper bounds.

    Attributes
    ----------
    shapes
        What is drawn, with matrices.
    elements
        Where each shape came from.
    clip_of
        Index of the clip over each shape, -1 for none.
    clips
        The clips.
    texts
        Places for the words of each copy.
    """

    def __init__(self, document: Document, limits: Limits) -> None:
        self.document = document
        self.notes = document.notes
        self.limits = limits
        self.shapes = Shapes()
        self.elements: list[Element] = []
        self.clip_of: list[int] = []
        self.clips: list[Clip] = []
        self.texts: list[TextPlace] = []
        self.expanded = self.points = 0
        self._within = Within(document)
        self._stack: list[tuple[etree._Element, ElementContext]] = []

    def run(self, matrix: Matrix, scale: LengthContext) -> None:
        """Walk the document.

        Parameters
        ----------
        matrix
            User units of the outermost element to mm.
        scale
            Its viewport.

        Raises
        ------
        DrawingError
            When references expand beyond the limit.
        """
        root = self.document.root
        own = self.document.own(root)
        frame = ElementContext(matrix, Style(), "", scale.width, scale.height)
        if self._is_off(root, own, frame):
            return
        inner = self._inside(root, own, frame, named=False)
        if inner is not None:
            self._enter(root, self._clipped(root, own, inner))
        while self._stack:
            node, frame = self._stack.pop()
            self._visit(node, frame)

    def place_of(self, shape: int) -> Place:
        """Where a shape is, for notes."""
        element = self.elements[shape]
        return Place(line=element.line, element=element.name, layer=element.layer or None)

    def _enter(self, node: etree._Element, frame: ElementContext) -> None:
        self._stack.extend((child, frame) for child in node.iterchildren(reversed=True))

    def _visit(self, node: etree._Element, frame: ElementContext) -> None:
        kind = self.document.kind(node)
        if kind not in DRAWN:
            return
        if frame.host is not None:
            self.count_expanded(node, frame)
        again = frame.host is not None
        own = self.document.own(node, again=again)
        if not passes(node) or self._is_off(node, own, frame):
            return
        if kind in TRACERS:
            self._draw(node, kind, own, frame)
        elif kind in LEFT_OUT:
            style = self.document.style(own, frame)
            seen = style.visible and not style.faint
            if seen and (kind != "text" or self._has_more(node, own, frame)):
                self.notes.count(LEFT_OUT[kind], self.document.place(node, frame.layer))
        else:
            inner = self._inside(node, own, frame, named=True)
            if inner is not None:
                self._enter_group(node, kind, own, inner)

    def _has_more(self, node: etree._Element, own: Own, frame: ElementContext) -> bool:
        """Take up the places for words that a text marks; whether it says anything beside them."""
        if not self._within.has_words(node):
            return False
        braces = self._within.has_braces(node)
        places, more = text_places(self.document, node, own, frame, braces=braces)
        self.texts += places
        return more

    def _enter_group(self, node: etree._Element, kind: str, own: Own, inner: ElementContext) -> None:
        if kind == "use":
            self._follow(node, own, inner)
        elif kind == "svg":
            self._enter_viewport(node, own, inner, None)
        elif kind == "switch":
            chosen = self._within.choice(node)
            if chosen is not None:
                self._stack.append((chosen, self._clipped(node, own, inner)))
        else:
            self._enter(node, self._clipped(node, own, inner))

    def count_expanded(self, node: etree._Element, frame: ElementContext) -> None:
        """Count one element that is drawn, or clips, through a reference.

        Raises
        ------
        DrawingError
            Beyond the limit.
        """
        self.expanded += 1
        if self.expanded > self.limits.expanded:
            raise DrawingError(
                f"references (use, clip-path) expand to more than {self.limits.expanded} elements",
                fix=more("Replace the clones by copies, or leave most of them out.", "expanded"),
                place=self.document.place(node, frame.layer),
            )

    def count_points(self, count: int) -> None:
        """Count points that are drawn or clip, before curves are flattened.

        Raises
        ------
        DrawingError
            Beyond the limit.
        """
        self.points += count
        if self.points > self.limits.points:
            raise DrawingError(
                f"the drawing has more than {self.limits.points} points",
                fix=more("Simplify the drawing, or split it.", "points"),
            )

    def _is_off(self, node: etree._Element, own: Own, frame: ElementContext) -> bool:
        """Whether `display` is none; what is lost by it is counted."""
        if own.declared.values.get("display", "").strip().lower() != "none":
            return False
        lost = self._within.shapes(node)
        if lost:
            layer = join_layer(frame.layer, own.name) if self.document.kind(node) in GROUPS else frame.layer
            self.notes.count("hidden-left-out", self.document.place(node, layer), lost)
        return True

    def _inside(
        self, node: etree._Element, own: Own, frame: ElementContext, *, named: bool
    ) -> ElementContext | None:
        """What the children of a group are drawn within; None when they can't be."""
        style = self.document.style(own, frame)
        matrix = self.document.matrix(node, own, frame, style)
        if matrix is None:
            return None
        layer = join_layer(frame.layer, own.name) if named else frame.layer
        return ElementContext(matrix, style, layer, frame.width, frame.height, frame.clip, frame.host)

    def _clipped(self, node: etree._Element, own: Own, frame: ElementContext) -> ElementContext:
        """The same frame within the element's own clip; its mask is reported."""
        values = own.declared.values
        if (
            "mask" in values
            and (url := parse_url(values["mask"]))
            and self.document.target(url[0], "mask") is not None
        ):
            self.notes.count("mask-ignored", self.document.place(node, frame.layer))
        text = values.get("clip-path", "none").strip()
        if text.lower() in {"none", "inherit", "initial", "unset"}:
            return frame
        url = parse_url(text)
        target = self.document.target(url[0], "clipPath") if url else None
        if target is None:
            # CSS Masking 1, 5.1: a reference that leads to no clipPath clips nothing.
            self.notes.count("clip-ignored", self.document.place(node, frame.layer))
            return frame
        self.clips.append(Clip(target, (0.0, 0.0, 0.0, 0.0), frame, frame.clip))
        return replace(frame, clip=len(self.clips) - 1)

    def _draw(self, node: etree._Element, kind: str, own: Own, frame: ElementContext) -> None:
        """Take up one shape."""
        style = self.document.style(own, frame)
        filled = not style.has_stroke
        if not style.visible or style.faint:
            self.notes.count("hidden-left-out", self.document.place(node, frame.layer))
            return
        if filled and (kind == "line" or not style.has_fill):
            self.notes.count("unpainted-left-out", self.document.place(node, frame.layer))
            return
        trace = self.document.trace(node, kind, own, frame, style)
        if not trace.kinds:
            return
        matrix = self.document.matrix(node, own, frame, style, trace)
        if matrix is None:
            return
        clip = frame.clip
        if "clip-path" in own.declared.values or "mask" in own.declared.values:
            clip = self._clipped(node, own, replace(frame, matrix=matrix, style=style)).clip
        if style.marked and kind in {"path", "line", "polyline", "polygon"}:
            self.notes.count("marker-left-out", self.document.place(node, frame.layer))
        self.count_points(len(trace.kinds))
        factor = size_factor(matrix)
        self.elements.append(
            Element(
                file=self.notes.file,
                line=line_of(node),
                tag=kind,
                ident=own.ident,
                layer=frame.layer,
                label=own.label,
                colour=None if filled else style.stroke.colour,
                dash=() if filled else tuple(length * factor for length in style.dash),
                width=None if filled else style.width * factor,
                filled=filled,
            )
        )
        self.clip_of.append(clip)
        self.shapes.add(trace, matrix)

    def _follow(self, node: etree._Element, own: Own, frame: ElementContext) -> None:
        """Draw what a `use` stands for (SVG 2, 5.6)."""
        host = self._referred(node, frame)
        if host is None:
            return
        target = host.target
        sizes = Sizes(
            lambda name: own.declared.values.get(name, node.get(name)),
            self.document.scale(frame, frame.style),
        )
        matrix = compose(frame.matrix, shift(sizes.length("x", "x"), sizes.length("y", "y")))
        inner = self._clipped(node, own, replace(frame, matrix=matrix))
        style = self.document.cascade.with_context(frame.style)
        inner = replace(inner, style=style, host=host)
        kind = self.document.kind(target)
        if kind not in {"symbol", "svg"}:
            self._stack.append((target, inner))
            return
        self.count_expanded(target, inner)
        other = self.document.own(target, again=True)
        if not passes(target) or self._is_off(target, other, inner):
            return
        # A symbol is no graphics element: a transform does not apply to it.
        plain = other._replace(transform=None) if kind == "symbol" else other
        within = self._inside(target, plain, inner, named=True)
        if within is not None:
            self._enter_viewport(target, other, within, node)

    def _referred(self, node: etree._Element, frame: ElementContext) -> Host | None:
        """The reference of a `use`, or None with a note."""
        href = href_of(node)
        if not href.startswith("#"):
            code = "outside-left-out" if href else "use-left-out"
            self.notes.count(code, self.document.place(node, frame.layer))
            return None
        target = self.document.ids.get(href[1:])
        if target is None or self.document.kind(target) not in {*DRAWN, "symbol"}:
            self.notes.count("use-left-out", self.document.place(node, frame.layer))
            return None
        host = Host.follow(node, target, frame.host)
        if host.is_cycle or self._within.leads_to(target, node):
            self.notes.count("use-cycle", self.document.place(node, frame.layer))
            return None
        if host.depth > _MOST_REFERENCES:
            raise DrawingError(
                f"references (use) lead on over more than {_MOST_REFERENCES} steps",
                fix="Replace the clones by copies.",
                place=self.document.place(node, frame.layer),
            )
        return host

    def _enter_viewport(
        self, node: etree._Element, own: Own, frame: ElementContext, use: etree._Element | None
    ) -> None:
        """Enter a nested `svg` or a used `symbol`, when anything of it shows (SVG 2, 8.4 and 8.6)."""
        is_symbol = self.document.kind(node) == "symbol"

        def get(name: str) -> str | None:
            if use is not None and name in {"width", "height"} and use.get(name, "auto").strip() != "auto":
                return use.get(name)
            # The sizes that SVG 2 gives to a symbol itself are followed by no renderer.
            return None if is_symbol else own.declared.values.get(name, node.get(name))

        sizes = Sizes(get, self.document.scale(frame, frame.style))
        x, y = sizes.length("x", "x"), sizes.length("y", "y")
        w, h = sizes.optional("width", "x", least=0), sizes.optional("height", "y", least=0)
        w, h = frame.width if w is None else w, frame.height if h is None else h
        box = parse_view_box(node.get("viewBox"))
        if not (w > 0 and h > 0) or (box is not None and not (box.width and box.height)):
            self.notes.count("empty-viewport", self.document.place(node, frame.layer))
            return
        matrix = compose(frame.matrix, shift(x, y))
        clip = frame.clip
        if own.declared.values.get("overflow", "hidden").strip().lower() not in {"visible", "auto"}:
            self.clips.append(Clip(None, (x, y, w, h), frame, frame.clip))
            clip = len(self.clips) - 1
        if box is not None:
            matrix = compose(matrix, fit(box, w, h, node.get("preserveAspectRatio")))
            w, h = box.width, box.height
        if not is_flat(matrix):
            inner = replace(frame, matrix=matrix, width=w, height=h, clip=clip)
            self._enter(node, self._clipped(node, own, inner))
