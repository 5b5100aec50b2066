"""The walk over the tree: which elements are drawn, where, and in which style.

Why not a library: the tree walks at hand draw what must not be drawn (symbols where they are
defined, masks, markers, unknown elements), lose viewports, and recurse without end on references
in a circle (measured for each feature; the tests hold one drawing for each). So the walk is our
own, after the specification: only containers that render are entered, references are followed
with a memory of where they came from, and a stack of our own takes the place of recursion.

Rules: SVG 2, chapter 5 "Document Structure".
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from lxml import etree

from cutprep.errors import DrawingError, Place
from cutprep.model.finding import Severity
from cutprep.model.lines import Element
from cutprep.read.limits import Limits
from cutprep.read.svg_css import PRESENTATION, Sheets
from cutprep.read.svg_lines import Shapes
from cutprep.read.svg_notes import Notes
from cutprep.read.svg_path import Trace
from cutprep.read.svg_shapes import TRACERS, Sizes
from cutprep.read.svg_style import Cascade, Declared, Style
from cutprep.read.svg_transform import (
    Matrix,
    about,
    compose,
    is_flat,
    parse_origin,
    parse_transform,
    shift,
    size_factor,
)
from cutprep.read.svg_values import Scale, parse_url
from cutprep.read.svg_viewport import Page, fit, parse_view_box, settle_page
from cutprep.read.svg_xml import SVG, line_of

_XLINK = "{http://www.w3.org/1999/xlink}href"
_SERVERS = ("linearGradient", "radialGradient", "pattern", "meshgradient", "hatch", "solidcolor")
_GROUPS = frozenset({"g", "a", "switch", "use", "svg"})
_LEFT_OUT = {"text": "text-left-out", "image": "image-left-out", "foreignObject": "foreign-left-out"}
_DRAWN = (*TRACERS, *_GROUPS, *_LEFT_OUT)
_KINDS = (*_DRAWN, "symbol", "clipPath", "mask", "style", *_SERVERS)
_LANGUAGE = "en"


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """What an element is drawn within.

    Attributes
    ----------
    matrix
        User units to mm.
    style
        What is inherited.
    layer
        Names of the groups around, joined by "/".
    width, height
        Nearest viewport, user units.
    clip
        Index into the walk's clips, -1 for none.
    host
        The reference through which the element is drawn.
    """

    matrix: Matrix
    style: Style
    layer: str
    width: float
    height: float
    clip: int = -1
    host: Host | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Host:
    """A `use` that is being followed.

    Attributes
    ----------
    node, target
        The reference, and what it stands for.
    outer
        The reference around, if any.
    """

    node: etree._Element
    target: etree._Element
    outer: Host | None

    def holds(self, node: etree._Element) -> bool:
        """Whether an element is one of those that this reference is drawn within."""
        return any(each is node for each in _around(self.node, self.outer))


def _around(node: etree._Element, host: Host | None) -> Iterator[etree._Element]:
    """An element and everything it is drawn within, references followed back (SVG 2, 5.6)."""
    at: etree._Element | None = node
    while at is not None:
        yield at
        if host is not None and at is host.target:
            at, host = host.node, host.outer
        else:
            at = at.getparent()


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
    frame: Frame
    outer: int


class Own(NamedTuple):
    """What an element says of itself."""

    declared: Declared
    ident: str
    label: str
    name: str
    transform: str | None


class Walk:
    """Walks a document and collects its shapes.

    Parameters
    ----------
    root
        The outermost `svg` element.
    notes
        Takes remarks.
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
    """

    def __init__(self, root: etree._Element, notes: Notes, limits: Limits) -> None:
        self.root = root
        self.notes = notes
        self.limits = limits
        self.shapes = Shapes()
        self.elements: list[Element] = []
        self.clip_of: list[int] = []
        self.clips: list[Clip] = []
        self.kind_of = _tags(root)
        self.ids: dict[str, etree._Element] = {}
        for node in root.iterfind(".//*[@id]"):
            self.ids.setdefault(node.get("id", ""), node)
        servers = {ident for ident, node in self.ids.items() if self.kind(node) in _SERVERS}
        self.cascade = Cascade(Sheets(root, self.tags("style")), servers)
        self.expanded = 0
        self._traces: dict[etree._Element, Trace] = {}
        self._ignored: set[Declared] = set()
        self._stack: list[tuple[etree._Element, Frame]] = []

    def kind(self, node: etree._Element) -> str:
        """Local name of an element that matters; empty for every other."""
        return self.kind_of.get(str(node.tag), "")

    def tags(self, *kinds: str) -> tuple[str, ...]:
        """Full tags of kinds of elements."""
        return tuple(tag for tag, kind in self.kind_of.items() if kind in kinds)

    def run(self, matrix: Matrix, scale: Scale) -> None:
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
        own = self.own(self.root)
        style = self.cascade.inherit(Style(), own.declared, scale.width, scale.height)
        self.cascade.root_font = style.font
        frame = Frame(matrix, style, "", scale.width, scale.height)
        if self._is_off(self.root, own, frame):
            return
        inner = self._inside(self.root, own, frame, named=False)
        if inner is not None:
            self._enter(self.root, inner)
        while self._stack:
            node, frame = self._stack.pop()
            self._visit(node, frame)

    def page(self, units: str | None) -> Page:
        """Real size of the document."""
        css = self.own(self.root).declared.values
        width, height = (css.get(side, self.root.get(side)) for side in ("width", "height"))
        return settle_page(
            width, height, self.root.get("viewBox"), self.root.get("preserveAspectRatio"), units
        )

    def place_of(self, shape: int) -> Place:
        """Where a shape is, for notes."""
        element = self.elements[shape]
        return Place(line=element.line, element=element.name, layer=element.layer or None)

    def place(self, node: etree._Element, layer: str) -> Place:
        """Where an element is, for notes."""
        ident = node.get("id")
        tag = str(node.tag).rpartition("}")[2]
        return Place(line=line_of(node), element=f"{tag} '{ident}'" if ident else tag, layer=layer or None)

    def own(self, node: etree._Element) -> Own:
        """Read what an element says of itself, style included."""
        attributes = []
        style = transform = None
        ident = label = sort = ""
        for key, value in node.attrib.items():
            name = str(key)
            if name in PRESENTATION:
                attributes.append((name, str(value)))
            elif name == "style":
                style = str(value)
            elif name == "transform":
                transform = str(value)
            elif name == "id":
                ident = str(value)
            elif name == "class":
                sort = str(value)
            elif name.endswith("label") and name[-6:-5] in {"", "}", ":"}:
                label = str(value)
        declared = self.cascade.declare(node, tuple(attributes), style)
        if declared.ignored and declared not in self._ignored:
            self._ignored.add(declared)
            told = ", ".join(f"{name}: {value[:30]}" for name, value in declared.ignored[:5])
            self.notes.say(
                "style-ignored",
                f"a value in error was ignored ({told})",
                place=self.place(node, ""),
                severity=Severity.NOTE,
            )
        return Own(
            declared, ident, label, label or ident or sort, declared.values.get("transform", transform)
        )

    def _enter(self, node: etree._Element, frame: Frame) -> None:
        self._stack.extend((child, frame) for child in node.iterchildren(reversed=True))

    def _visit(self, node: etree._Element, frame: Frame) -> None:
        kind = self.kind(node)
        if kind not in _DRAWN:
            return
        if frame.host is not None:
            self._count_expanded(node, frame)
        own = self.own(node)
        if not _passes(node) or self._is_off(node, own, frame):
            return
        if kind in TRACERS:
            self._draw(node, kind, own, frame)
        elif kind in _LEFT_OUT:
            style = self.cascade.inherit(frame.style, own.declared, frame.width, frame.height)
            seen = style.visible and not style.faint
            if seen and (kind != "text" or "".join(str(t) for t in node.itertext()).strip()):
                self.notes.count(_LEFT_OUT[kind], self.place(node, frame.layer))
        else:
            inner = self._inside(node, own, frame, named=True)
            if inner is not None:
                self._enter_group(node, kind, own, inner)

    def _enter_group(self, node: etree._Element, kind: str, own: Own, inner: Frame) -> None:
        if kind == "switch":
            chosen = next((child for child in node if self._is_choice(child)), None)
            if chosen is not None:
                self._stack.append((chosen, inner))
        elif kind == "use":
            self._follow(node, own, inner)
        elif kind == "svg":
            view = self._viewport(node, own, inner, None)
            if view is not None:
                self._enter(node, view)
        else:
            self._enter(node, inner)

    def _count_expanded(self, node: etree._Element, frame: Frame) -> None:
        self.expanded += 1
        if self.expanded > self.limits.expanded:
            raise DrawingError(
                f"references (use) expand to more than {self.limits.expanded} elements",
                fix="Replace the clones by copies, or leave most of them out.",
                place=self.place(node, frame.layer),
            )

    def _is_off(self, node: etree._Element, own: Own, frame: Frame) -> bool:
        """Whether `display` is none; what is lost by it is counted."""
        if own.declared.values.get("display", "").strip().lower() != "none":
            return False
        lost = sum(1 for _ in node.iter(*self.tags(*TRACERS)))
        if lost:
            layer = _join(frame.layer, own.name) if self.kind(node) in _GROUPS else frame.layer
            self.notes.count("hidden-left-out", self.place(node, layer), lost)
        return True

    def _is_choice(self, child: etree._Element) -> bool:
        """Whether a `switch` may choose a child (SVG 2, 5.9): one that can be drawn and whose conditions hold."""
        kind = self.kind(child)
        return kind in _DRAWN and kind != "foreignObject" and _passes(child)

    def _inside(self, node: etree._Element, own: Own, frame: Frame, *, named: bool) -> Frame | None:
        """What the children of a group are drawn within; None when they can't be."""
        style = self.cascade.inherit(frame.style, own.declared, frame.width, frame.height)
        matrix = self._matrix(node, own, frame, style)
        if matrix is None:
            return None
        layer = _join(frame.layer, own.name) if named else frame.layer
        inner = Frame(matrix, style, layer, frame.width, frame.height, frame.clip, frame.host)
        clip = self._clip(node, own, inner)
        if clip != frame.clip:
            inner = Frame(matrix, style, layer, frame.width, frame.height, clip, frame.host)
        return inner

    def _matrix(self, node: etree._Element, own: Own, frame: Frame, style: Style) -> Matrix | None:
        """The element's matrix into mm; None when its transform lays it flat."""
        if own.transform is None:
            return frame.matrix
        scale = Scale(frame.width, frame.height, style.font, self.cascade.root_font)
        matrix = parse_transform(own.transform, scale)
        if matrix is None:
            place = self.place(node, frame.layer)
            self.notes.say(
                "transform-ignored",
                f"the transform '{own.transform[:60]}' has an error and was ignored",
                fix="Apply the transform in the program that drew it.",
                place=place,
            )
            return frame.matrix
        origin = own.declared.values.get("transform-origin")
        if origin is not None:
            matrix = self._about_origin(node, own, frame, matrix, origin, scale)
        whole = compose(frame.matrix, matrix)
        if is_flat(whole):
            self.notes.count("flat-left-out", self.place(node, frame.layer))
            return None
        return whole

    def _about_origin(
        self,
        node: etree._Element,
        own: Own,
        frame: Frame,
        matrix: Matrix,
        origin: str,
        scale: Scale,
    ) -> Matrix:
        point = parse_origin(origin, scale)
        if (
            own.declared.values.get("transform-box", "view-box").strip() not in {"view-box", "border-box"}
            or point is None
        ):
            self.notes.say(
                "transform-ignored",
                f"the transform-origin '{origin[:40]}' could not be applied",
                fix="Apply the transform in the program that drew it.",
                place=self.place(node, frame.layer),
            )
            return matrix
        return about(matrix, *point)

    def _clip(self, node: etree._Element, own: Own, frame: Frame) -> int:
        """Index of the clip over an element's content; its mask is reported."""
        values = own.declared.values
        if (
            "mask" in values
            and (url := parse_url(values["mask"]))
            and self._target(url[0], "mask") is not None
        ):
            self.notes.count("mask-ignored", self.place(node, frame.layer))
        text = values.get("clip-path")
        if text is None or text.strip().lower() in {"none", "inherit", "initial", "unset"}:
            return frame.clip
        url = parse_url(text)
        target = self._target(url[0], "clipPath") if url else None
        if target is None:
            if url is None:
                self.notes.count("clip-ignored", self.place(node, frame.layer))
            return frame.clip
        self.clips.append(Clip(target, (0.0, 0.0, 0.0, 0.0), frame, frame.clip))
        return len(self.clips) - 1

    def _target(self, ident: str, kind: str) -> etree._Element | None:
        node = self.ids.get(ident)
        return node if node is not None and self.kind(node) == kind else None

    def _draw(self, node: etree._Element, kind: str, own: Own, frame: Frame) -> None:
        """Take up one shape."""
        style = self.cascade.inherit(frame.style, own.declared, frame.width, frame.height)
        filled = not style.has_stroke
        if not style.visible or style.faint:
            self.notes.count("hidden-left-out", self.place(node, frame.layer))
            return
        if filled and (kind == "line" or not style.has_fill):
            self.notes.count("unpainted-left-out", self.place(node, frame.layer))
            return
        trace = self._trace(node, kind, own, frame, style)
        if not trace.kinds:
            return
        matrix = self._matrix(node, own, frame, style)
        if matrix is None:
            return
        clip = frame.clip
        if "clip-path" in own.declared.values or "mask" in own.declared.values:
            inner = Frame(matrix, style, frame.layer, frame.width, frame.height, frame.clip, frame.host)
            clip = self._clip(node, own, inner)
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

    def _trace(self, node: etree._Element, kind: str, own: Own, frame: Frame, style: Style) -> Trace:
        """Segments of a shape; those of a path that is drawn again are remembered."""
        again = frame.host is not None
        if again and node in self._traces:
            return self._traces[node]
        css = own.declared.values

        def get(name: str) -> str | None:
            text = css.get(name)
            return node.get(name) if text is None else _path_of(text) if name == "d" else text

        sizes = Sizes(get, Scale(frame.width, frame.height, style.font, self.cascade.root_font))
        trace = TRACERS[kind](sizes)
        if trace.fault:
            self.notes.say(
                "path-cut-short",
                f"{trace.fault}; {'what comes before it' if trace.kinds else 'nothing of it'} is drawn",
                fix="Draw that piece again.",
                place=self.place(node, frame.layer),
            )
        if sizes.faults:
            self.notes.say(
                "size-ignored",
                f"a size in error was ignored ({', '.join(sizes.faults)})",
                fix="Give the size a number and a unit.",
                place=self.place(node, frame.layer),
            )
        if again and kind in {"path", "polyline", "polygon"}:
            self._traces[node] = trace
        return trace

    def _follow(self, node: etree._Element, own: Own, frame: Frame) -> None:
        """Draw what a `use` stands for (SVG 2, 5.6)."""
        target = self._referred(node, frame)
        if target is None:
            return
        sizes = Sizes(
            lambda name: own.declared.values.get(name, node.get(name)),
            Scale(frame.width, frame.height, frame.style.font, self.cascade.root_font),
        )
        matrix = compose(frame.matrix, shift(sizes.length("x", "x"), sizes.length("y", "y")))
        host = Host(node, target, frame.host)
        style = self.cascade.with_context(frame.style)
        inner = Frame(matrix, style, frame.layer, frame.width, frame.height, frame.clip, host)
        if self.kind(target) not in {"symbol", "svg"}:
            self._stack.append((target, inner))
            return
        self._count_expanded(target, inner)
        other = self.own(target)
        if not _passes(target) or self._is_off(target, other, inner):
            return
        within = self._inside(target, other, inner, named=True)
        view = self._viewport(target, other, within, node) if within is not None else None
        if view is not None:
            self._enter(target, view)

    def _referred(self, node: etree._Element, frame: Frame) -> etree._Element | None:
        """The element a `use` refers to, or None with a note."""
        href = (node.get("href") or node.get(_XLINK) or node.get("xlink:href") or "").strip()
        if not href.startswith("#"):
            self.notes.count("outside-left-out" if href else "use-left-out", self.place(node, frame.layer))
            return None
        target = self.ids.get(href[1:])
        if target is None or self.kind(target) not in {*_DRAWN, "symbol"}:
            self.notes.count("use-left-out", self.place(node, frame.layer))
            return None
        if any(each is target for each in _around(node, frame.host)):
            self.notes.count("use-cycle", self.place(node, frame.layer))
            return None
        return target

    def _viewport(
        self, node: etree._Element, own: Own, frame: Frame, use: etree._Element | None
    ) -> Frame | None:
        """What the content of a nested `svg` or a used `symbol` is drawn within; None when nothing shows."""

        def get(name: str) -> str | None:
            if use is not None and name in {"width", "height"} and use.get(name, "auto").strip() != "auto":
                return use.get(name)
            return own.declared.values.get(name, node.get(name))

        sizes = Sizes(get, Scale(frame.width, frame.height, frame.style.font, self.cascade.root_font))
        x, y = sizes.length("x", "x"), sizes.length("y", "y")
        w, h = sizes.optional("width", "x", least=0), sizes.optional("height", "y", least=0)
        w, h = frame.width if w is None else w, frame.height if h is None else h
        box = parse_view_box(node.get("viewBox"))
        if not (w > 0 and h > 0) or (box is not None and not (box.width and box.height)):
            self.notes.count("empty-viewport", self.place(node, frame.layer))
            return None
        matrix = compose(frame.matrix, shift(x, y))
        clip = frame.clip
        if own.declared.values.get("overflow", "hidden").strip().lower() not in {"visible", "auto"}:
            self.clips.append(Clip(None, (x, y, w, h), frame, frame.clip))
            clip = len(self.clips) - 1
        if box is None:
            return Frame(matrix, frame.style, frame.layer, w, h, clip, frame.host)
        matrix = compose(matrix, fit(box, w, h, node.get("preserveAspectRatio")))
        if is_flat(matrix):
            return None
        return Frame(matrix, frame.style, frame.layer, box.width, box.height, clip, frame.host)


def _tags(root: etree._Element) -> dict[str, str]:
    """Full tag to kind, in the namespace of the root.

    Raises
    ------
    DrawingError
        When the root is no `svg` element.
    """
    tag = str(root.tag)
    if tag not in {f"{SVG}svg", "svg"}:
        raise DrawingError(
            f"the file is XML but no SVG: its root is <{tag.rpartition('}')[2]}>", fix="Save it as SVG."
        )
    kinds = {f"{SVG}{kind}": kind for kind in _KINDS}
    return kinds if tag != "svg" else {**kinds, **{kind: kind for kind in _KINDS}}


def _join(layer: str, name: str) -> str:
    name = name.strip()
    return f"{layer}/{name}" if layer and name else layer or name


def _passes(node: etree._Element) -> bool:
    """Whether the conditional attributes of an element hold (SVG 2, 5.8)."""
    if node.get("requiredExtensions") is not None:
        return False
    languages = node.get("systemLanguage")
    if languages is None:
        return True
    return any(each.strip().lower().split("-")[0] == _LANGUAGE for each in languages.split(","))


def _path_of(text: str) -> str | None:
    """Path data inside a CSS `path("...")`."""
    inner = text.strip()
    if inner.startswith("path(") and inner.endswith(")"):
        return inner[5:-1].strip().strip("\"'")
    return None
