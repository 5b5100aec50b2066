"""The style of an element: cascade, inheritance, and what of it a knife cares about.

Thousands of elements share a few styles, so both steps remember their answers: the cascade by the
texts that go in, inheritance by the style of the parent and the declarations of the child.

Rules: SVG 2, chapter 6 "Styling", 13 "Painting"; CSS Cascading and Inheritance 3.
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from typing import NamedTuple

from lxml import etree

from cutprep.errors import DrawingError, Place
from cutprep.limits import Limits, more
from cutprep.stages.read.svg.css import NOTHING, PRESENTATION, Declarations, Sheets, parse_declarations
from cutprep.stages.read.svg.values import (
    BLACK,
    MEDIUM,
    NO_PAINT,
    Length,
    LengthContext,
    Paint,
    parse_length,
    parse_lengths,
    parse_number,
    parse_paint,
)
from cutprep.stages.read.svg.xml import line_of

_FONT_WORDS = {
    "xx-small": 9.0, "x-small": 10.0, "small": 13.0, "medium": MEDIUM, "large": 18.0, "x-large": 24.0,
    "xx-large": 32.0,
}  # fmt: skip
_INHERITED = frozenset(
    {
        "visibility", "color", "font-size", "stroke", "stroke-width", "stroke-opacity", "stroke-dasharray",
        "fill", "fill-opacity", "clip-rule", "marker", "marker-start", "marker-mid", "marker-end",
    }
)  # fmt: skip
_MARKERS = ("marker", "marker-start", "marker-mid", "marker-end")
#: Characters of a value; a longer one is no colour, and no list of dashes that anybody drew.
_LONGEST = 20_000
_WIDE_WORDS = frozenset({"inherit", "initial", "unset", "revert", "revert-layer"})


class Style(NamedTuple):
    """Computed style, as children inherit it; a tuple, since each of 100,000 elements may have one of its own.

    Attributes
    ----------
    font
        Font size, user units.
    current
        What `currentcolor` means.
    visible
        `visibility`.
    faint
        The element or one around it is wholly transparent.
    stroke, fill
        Paints.
    stroke_opacity, fill_opacity, width, dash
        As the properties of these names; lengths in user units, percentages resolved.
    clip_rule
        "nonzero" or "evenodd".
    context
        Fill and stroke of the `use` around, for `context-fill` and `context-stroke`.
    marked
        A marker sits on the line.
    """

    font: float = MEDIUM
    current: Paint = BLACK
    visible: bool = True
    faint: bool = False
    stroke: Paint = NO_PAINT
    fill: Paint = BLACK
    stroke_opacity: float = 1.0
    fill_opacity: float = 1.0
    width: float = 1.0
    dash: tuple[float, ...] = ()
    clip_rule: str = "nonzero"
    context: tuple[Paint, Paint] = (NO_PAINT, NO_PAINT)
    marked: bool = False

    @property
    def has_stroke(self) -> bool:
        """Whether a line along the outline can be seen."""
        return self.stroke.seen and self.stroke_opacity > 0 and self.width > 0 and not self.faint

    @property
    def has_fill(self) -> bool:
        """Whether the inside can be seen."""
        return self.fill.seen and self.fill_opacity > 0 and not self.faint


#: What stands above the outermost element.
_INITIAL = Style()


class DeclaredStyle:
    """What the cascade leaves of an element's own declarations.

    Attributes
    ----------
    values
        Property to value.
    inherits
        Whether any of them changes what children inherit.
    ignored
        (property, value) of declarations with a value that is none.
    """

    __slots__ = ("ignored", "inherits", "values")

    def __init__(self, values: dict[str, str], ignored: tuple[tuple[str, str], ...]) -> None:
        self.values = values
        self.ignored = ignored
        self.inherits = not _INHERITED.isdisjoint(values) or "opacity" in values


class Cascade:
    """Answers what an element's style is.

    Parameters
    ----------
    sheets
        The document's style sheets.
    servers
        Ids of gradients and patterns.
    limits
        How many declarations may differ.
    """

    def __init__(self, sheets: Sheets, servers: Container[str], limits: Limits) -> None:
        self.sheets = sheets
        self.servers = servers
        self._limits = limits
        self._count = 0
        self._declared: dict[tuple[object, ...], DeclaredStyle] = {}
        self._contexts: dict[Style, Style] = {}
        self._styles: dict[tuple[Style, DeclaredStyle, float, float], Style] = {}

    def declare(
        self, node: etree._Element, attributes: tuple[tuple[str, str], ...], style: str | None
    ) -> DeclaredStyle:
        """Apply the cascade to one element.

        Parameters
        ----------
        node
            The element.
        attributes
            Its presentation attributes.
        style
            Its `style` attribute.

        Raises
        ------
        DrawingError
            When too many elements have a style of their own.
        """
        rules = self.sheets.match(node) if self.sheets else ()
        # Rules live as long as the sheets, so their identity stands for them.
        key = (attributes, style, *map(id, rules))
        found = self._declared.get(key)
        if found is None:
            own = parse_declarations(style) if style else NOTHING
            found = self._declared[key] = self._resolve(attributes, rules, own)
            self._count += len(found.values) + len(found.ignored)
            if self._count > self._limits.declarations:
                raise DrawingError(
                    f"so many elements have a style of their own that they set more than "
                    f"{self._limits.declarations} properties",
                    fix=more("Draw what is for one tool in one style, or split the drawing.", "declarations"),
                    place=Place(line=line_of(node)),
                )
        return found

    def _resolve(
        self, attributes: tuple[tuple[str, str], ...], rules: tuple[Declarations, ...], own: Declarations
    ) -> DeclaredStyle:
        layers: list[Mapping[str, str]] = [dict(attributes)]
        layers += [rule.normal for rule in rules]
        layers.append(own.normal)
        layers += [rule.important for rule in rules]
        layers.append(own.important)
        values: dict[str, str] = {}
        ignored = []
        for layer in layers:
            for name, value in layer.items():
                if self._is_valid(name, value):
                    values[name] = value
                else:
                    ignored.append((name, value))
        return DeclaredStyle(values, tuple(ignored))

    def _is_valid(self, name: str, value: str) -> bool:
        """Whether a value is one of the property; others fall out before the cascade."""
        if name not in PRESENTATION:
            return True
        if len(value) > _LONGEST:
            return False
        word = value.strip().lower()
        if word in _WIDE_WORDS:
            return True
        match name:
            case "stroke" | "fill":
                return word.startswith("context-") or parse_paint(value, BLACK, self.servers) is not None
            case "color":
                return parse_paint(value, BLACK, ()) is not None
            case "opacity" | "stroke-opacity" | "fill-opacity":
                return parse_number(value) is not None
            case "stroke-width":
                return (length := parse_length(value)) is not None and length.value >= 0
            case "stroke-dasharray":
                lengths = parse_lengths(value)
                return word == "none" or (lengths is not None and all(each.value >= 0 for each in lengths))
            case "visibility":
                return word in {"visible", "hidden", "collapse"}
            case "clip-rule":
                return word in {"nonzero", "evenodd"}
            case _:
                return True

    def inherit(self, parent: Style, declared: DeclaredStyle, width: float, height: float) -> Style:
        """Compute an element's style from its parent's.

        Parameters
        ----------
        parent
            Style of the parent.
        declared
            The element's own declarations.
        width, height
            Nearest viewport, user units.
        """
        if not declared.inherits:
            return parent
        key = (parent, declared, width, height)
        known = self._styles.get(key)
        if known is None:
            known = self._styles[key] = self._compute(parent, declared.values, width, height)
        return known

    def with_context(self, style: Style) -> Style:
        """Style inside a `use`: its own paints are what `context-fill` and `context-stroke` mean."""
        inner = self._contexts.get(style)
        if inner is None:
            inner = self._contexts[style] = style._replace(context=(style.fill, style.stroke))
        return inner

    def _compute(self, parent: Style, values: dict[str, str], width: float, height: float) -> Style:
        initial = _INITIAL
        got: dict[str, object] = {}
        font = self._font(parent, values.get("font-size"))
        scale = LengthContext(width, height, font)
        current = self._paint(values.get("color"), parent.current, BLACK, parent)
        base = parent  # a copy takes as long as all the rest, and most elements need none
        if font != parent.font or current != parent.current:
            base = parent._replace(font=font, current=current)
        for name, field in (("stroke", "stroke"), ("fill", "fill")):
            if name in values:
                got[field] = self._paint(values[name], getattr(parent, field), getattr(initial, field), base)
        for name, field in _PLAIN:
            if name in values:
                value = values[name].strip().lower()
                if value in _WIDE_WORDS:
                    source = initial if value == "initial" else parent
                    got[field] = getattr(source, field)
                else:
                    got[field] = _read(name, value, scale)
        marks = [values[name].strip().lower() for name in _MARKERS if name in values]
        if marks:
            got["marked"] = any(mark.startswith("url") for mark in marks) or (
                parent.marked and "inherit" in marks
            )
        if values.get("opacity", "").strip() not in {"", *_WIDE_WORDS}:
            got["faint"] = parent.faint or not (parse_number(values["opacity"]) or 0.0) > 0
        return base._replace(**got) if got else base  # type: ignore[arg-type]

    def _paint(self, value: str | None, inherited: Paint, initial: Paint, base: Style) -> Paint:
        word = (value or "inherit").strip().lower()
        if word in _WIDE_WORDS:
            return initial if word == "initial" else inherited
        if word == "context-fill":
            return base.context[0]
        if word == "context-stroke":
            return base.context[1]
        return parse_paint(word if "(" not in word else value or "", base.current, self.servers) or inherited

    def _font(self, parent: Style, value: str | None) -> float:
        word = (value or "inherit").strip().lower()
        if word in _WIDE_WORDS:
            return _INITIAL.font if word == "initial" else parent.font
        if word in _FONT_WORDS:
            return _FONT_WORDS[word]
        if word in {"larger", "smaller"}:
            return parent.font * (1.2 if word == "larger" else 1 / 1.2)
        length = parse_length(word)
        if length is None or length.value < 0:
            return parent.font
        if length.unit == "%":
            length = Length(length.value / 100, "em")
        return LengthContext(0.0, 0.0, parent.font).px(length, "o")


#: Property to field of `Style`, where the value needs nothing but a scale.
_PLAIN = (
    ("visibility", "visible"),
    ("stroke-opacity", "stroke_opacity"),
    ("fill-opacity", "fill_opacity"),
    ("stroke-width", "width"),
    ("stroke-dasharray", "dash"),
    ("clip-rule", "clip_rule"),
)


def _read(name: str, value: str, scale: LengthContext) -> object:
    if name == "visibility":
        return value == "visible"
    if name in {"stroke-opacity", "fill-opacity"}:
        return parse_number(value) or 0.0
    if name == "stroke-width":
        length = parse_length(value)
        return scale.px(length, "o") if length else 1.0
    if name == "stroke-dasharray":
        lengths = (parse_lengths(value) or []) if value != "none" else []
        dash = tuple(scale.px(length, "o") for length in lengths)
        # 13.5.6: an odd list is repeated; a list of zeros is a solid line.
        return (dash * 2 if len(dash) % 2 else dash) if any(dash) else ()
    return value
