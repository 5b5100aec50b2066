"""One SVG document: its ids, its styles, and what an element says of itself.

Both the walk over what is drawn and the building of clips ask here: which kind an element is, its
style, its matrix, its segments.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from lxml import etree

from cutprep.errors import Place
from cutprep.limits import Limits
from cutprep.model.findings.finding import Severity
from cutprep.stages.read.svg.css import PRESENTATION, Sheets
from cutprep.stages.read.svg.elements import GRADIENTS, SERVERS, href_of, path_in_css, tags_of
from cutprep.stages.read.svg.notes import Notes
from cutprep.stages.read.svg.second import disagreement
from cutprep.stages.read.svg.shapes.basic import TRACERS, Sizes
from cutprep.stages.read.svg.shapes.lines import bounds_of
from cutprep.stages.read.svg.shapes.path import Trace
from cutprep.stages.read.svg.shapes.transform import (
    Matrix,
    about,
    compose,
    is_flat,
    parse_origin,
    parse_transform,
)
from cutprep.stages.read.svg.shapes.viewport import Page, find_page_size
from cutprep.stages.read.svg.style import Cascade, DeclaredStyle, Style
from cutprep.stages.read.svg.values import LengthContext
from cutprep.stages.read.svg.xml import line_of
from cutprep.tolerance import Tolerance

#: Gradients that borrow from gradients that borrow, and so on.
_LONGEST_CHAIN = 20


@dataclass(frozen=True, slots=True, eq=False)
class ElementContext:
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
    target
        What it stands for.
    around
        The `use` and the elements around it, up to the target of the reference it is drawn through.
    outer
        That reference, if any.
    depth
        How many references are being followed.
    """

    target: etree._Element
    around: frozenset[etree._Element]
    outer: Host | None
    depth: int

    @classmethod
    def follow(cls, node: etree._Element, target: etree._Element, outer: Host | None) -> Host:
        """Follow one more reference."""
        around = [node]
        last = outer.target if outer else None
        while around[-1] is not last and (parent := around[-1].getparent()) is not None:
            around.append(parent)
        return cls(target, frozenset(around), outer, outer.depth + 1 if outer else 1)

    @property
    def is_cycle(self) -> bool:
        """Whether the target is drawn within itself (SVG 2, 5.6)."""
        host: Host | None = self
        while host is not None:
            if self.target in host.around:
                return True
            host = host.outer
        return False


class Own(NamedTuple):
    """What an element says of itself."""

    declared: DeclaredStyle
    ident: str
    label: str
    name: str
    transform: str | None


class Document:
    """A parsed document.

    Parameters
    ----------
    root
        The outermost `svg` element.
    notes
        Takes remarks.
    tolerance
        Its `sagitta` is the chord error of the box that a transform may turn about, user units.
    limits
        Upper bounds.

    Attributes
    ----------
    ids
        Id to element; the first of several wins.
    cascade
        Answers what an element's style is.
    """

    def __init__(
        self,
        root: etree._Element,
        notes: Notes,
        tolerance: Tolerance,
        limits: Limits = Limits(),  # noqa: B008 - frozen
    ) -> None:
        self.root = root
        self.notes = notes
        self._tolerance = tolerance
        self._kinds = tags_of(root)
        self.ids: dict[str, etree._Element] = {}
        for node in root.iterfind(".//*[@id]"):
            self.ids.setdefault(node.get("id", ""), node)
        servers = {ident for ident, node in self.ids.items() if self._paints(node)}
        sheets = Sheets(root, self.tags("style"), limits)
        for code, problem, line in sheets.remarks:
            notes.say(
                code,
                problem,
                fix="Save the drawing with the styles in the elements themselves.",
                place=Place(line=line),
            )
        self.cascade = Cascade(sheets, servers, limits)
        self._ignored: set[DeclaredStyle] = set()
        self._traces: dict[etree._Element, Trace] = {}
        self._own: dict[etree._Element, Own] = {}

    def _paints(self, node: etree._Element | None) -> bool:
        """Whether an element is a paint; a gradient without stops, its own or borrowed ones, is none."""
        for _ in range(_LONGEST_CHAIN):
            if node is None or self.kind(node) not in SERVERS:
                return False
            if self.kind(node) not in GRADIENTS or any(self.kind(child) == "stop" for child in node):
                return True
            node = self.ids.get(href_of(node)[1:])
        return False

    def kind(self, node: etree._Element) -> str:
        """Local name of an element that matters; empty for every other."""
        return self._kinds.get(str(node.tag), "")

    def tags(self, *kinds: str) -> tuple[str, ...]:
        """Full tags of kinds of elements."""
        return tuple(tag for tag, kind in self._kinds.items() if kind in kinds)

    def page(self, units: str | None) -> Page:
        """Real size of the document."""
        css = self.own(self.root).declared.values
        width, height = (css.get(side, self.root.get(side)) for side in ("width", "height"))
        page = find_page_size(
            width, height, self.root.get("viewBox"), self.root.get("preserveAspectRatio"), units
        )
        doubt = disagreement(width, height, page.size)
        if doubt is not None:
            side, ours, theirs = doubt
            self.notes.say(
                "size-in-doubt",
                f"the {side} of the page was read as {ours:.3f} mm, another reader makes it {theirs:.3f} mm",
                fix="Check the size of the drawing with --expect before you cut.",
                place=Place(),
            )
        return page

    def style(self, own: Own, frame: ElementContext) -> Style:
        """Style of an element."""
        return self.cascade.inherit(frame.style, own.declared, frame.width, frame.height)

    def scale(self, frame: ElementContext, style: Style) -> LengthContext:
        """What relative lengths of an element refer to."""
        return LengthContext(frame.width, frame.height, style.font)

    def place(self, node: etree._Element, layer: str) -> Place:
        """Where an element is, for notes."""
        ident = node.get("id")
        tag = str(node.tag).rpartition("}")[2]
        return Place(line=line_of(node), element=f"{tag} '{ident}'" if ident else tag, layer=layer or None)

    def own(self, node: etree._Element, *, again: bool = False) -> Own:
        """Read what an element says of itself, style included; once, when it is drawn again and again."""
        if not again:
            return self._read_own(node)
        if node not in self._own:
            self._own[node] = self._read_own(node)
        return self._own[node]

    def _read_own(self, node: etree._Element) -> Own:
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
                fix="Give it a value that can be read, if it matters.",
                place=self.place(node, ""),
                severity=Severity.NOTE,
            )
        return Own(
            declared, ident, label, label or ident or sort, declared.values.get("transform", transform)
        )

    def target(self, ident: str, kind: str) -> etree._Element | None:
        """The element with an id, when it is of that kind."""
        node = self.ids.get(ident)
        return node if node is not None and self.kind(node) == kind else None

    def matrix(
        self, node: etree._Element, own: Own, frame: ElementContext, style: Style, trace: Trace | None = None
    ) -> Matrix | None:
        """The element's matrix into mm; None when its transform lays it flat.

        `trace` is what the element draws, when it is a shape.

        Parameters
        ----------
        node
            The element.
        own
            What it says of itself.
        frame
            Where it stands, and the matrix so far.
        style
            Its style.
        trace
            What it draws, when it is a shape.
        """
        css = own.declared.values.get("transform")
        if own.transform is None:
            return frame.matrix
        scale = self.scale(frame, style)
        matrix = parse_transform(own.transform, scale if css is not None else None)
        if matrix is None:
            self._ignore(node, frame, f"the transform '{own.transform[:60]}' has an error and was ignored")
            return frame.matrix
        origin = own.declared.values.get("transform-origin")
        if origin is not None:
            box = own.declared.values.get("transform-box", "view-box").strip().lower()
            matrix = self._about_origin(node, frame, matrix, origin, scale, box, trace)
        whole = compose(frame.matrix, matrix)
        if is_flat(whole):
            self.notes.count("flat-left-out", self.place(node, frame.layer))
            return None
        return whole

    def _about_origin(
        self,
        node: etree._Element,
        frame: ElementContext,
        matrix: Matrix,
        origin: str,
        scale: LengthContext,
        box: str,
        trace: Trace | None,
    ) -> Matrix:
        """Turn about the origin that `transform-origin` and `transform-box` name (CSS Transforms 1, 6 and 7)."""
        left = top = 0.0
        if box in {"fill-box", "content-box", "stroke-box", "border-box"} and trace is not None:
            left, top, right, bottom = bounds_of(trace, self._tolerance)
            scale = LengthContext(right - left, bottom - top, scale.font)
        elif box != "view-box":
            self._ignore(node, frame, f"the transform-box '{box[:40]}' was taken as the page")
        point = parse_origin(origin, scale)
        if point is None:
            self._ignore(node, frame, f"the transform-origin '{origin[:40]}' has an error and was ignored")
            return matrix
        return about(matrix, point[0] + left, point[1] + top)

    def _ignore(self, node: etree._Element, frame: ElementContext, problem: str) -> None:
        self.notes.say(
            "transform-ignored",
            problem,
            fix="Apply the transform in the program that drew it.",
            place=self.place(node, frame.layer),
        )

    def trace(self, node: etree._Element, kind: str, own: Own, frame: ElementContext, style: Style) -> Trace:
        """Segments of a shape; those of a path that is drawn again are remembered.

        Parameters
        ----------
        node
            The element.
        kind
            Its tag.
        own
            What it says of itself.
        frame
            Where it stands.
        style
            Its style.
        """
        again = frame.host is not None
        if again and node in self._traces:
            return self._traces[node]
        css = own.declared.values

        def get(name: str) -> str | None:
            text = css.get(name)
            return node.get(name) if text is None else path_in_css(text) if name == "d" else text

        sizes = Sizes(get, self.scale(frame, style))
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
