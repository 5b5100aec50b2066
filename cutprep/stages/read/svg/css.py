"""Style sheets: which declarations apply to an element, in the order of the cascade.

tinycss2 parses, cssselect2 matches selectors; what is ours is the cascade over presentation
attributes, sheets and `style` attributes, and remembering answers: a drawing has thousands of
elements and a handful of classes.

Rules: SVG 2, chapter 6 "Styling"; CSS Cascading and Inheritance 3, section 6 "Cascading". Sheets in other
files (`@import`, `<?xml-stylesheet?>`) are never read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any, NamedTuple

import cssselect2
import tinycss2
from lxml import etree

from cutprep.errors import DrawingError, Place
from cutprep.limits import Limits, more
from cutprep.stages.read.svg.xml import line_of

#: Properties that geometry or visibility of a line depends on; the rest are not looked at.
PRESENTATION = frozenset(
    {
        "display", "visibility", "opacity", "color", "font-size", "overflow",
        "stroke", "stroke-width", "stroke-opacity", "stroke-dasharray", "fill", "fill-opacity",
        "clip-path", "clip-rule", "mask", "marker", "marker-start", "marker-mid", "marker-end",
        "transform-origin", "transform-box", "text-anchor", "dominant-baseline",
    }
)  # fmt: skip
#: Properties that are attributes with a grammar of their own when they stand as attributes.
GEOMETRY = frozenset({"x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d", "transform"})
_READ = PRESENTATION | GEOMETRY
#: A declaration list that needs no tokenizer: no strings, comments, escapes, blocks or data URLs.
_INVOLVED = re.compile(r"[\"'\\{}@]|/\*|data:")
_SIMPLE = re.compile(r"[\w\-#.*|]+")
#: Selectors whose test looks at all siblings or descendants.
_COSTLY = re.compile(r"~|of-type|:has\b|:nth-last")
_MOST_FOR_COSTLY = 2000
#: Selectors that look beyond the element need a wrapper round every element.
_MOST_FOR_INVOLVED = 200_000
#: Rules tried on elements, all together.
_MOST_TESTS = 1_000_000


class Declarations(NamedTuple):
    """Property to value, apart for ordinary and `!important` ones."""

    normal: Mapping[str, str]
    important: Mapping[str, str]


NOTHING = Declarations({}, {})


@lru_cache(maxsize=16384)
def parse_declarations(text: str) -> Declarations:
    """Read a declaration list, such as a `style` attribute; faulty declarations drop out."""
    normal: dict[str, str] = {}
    important: dict[str, str] = {}
    pairs = _split_involved(text) if _INVOLVED.search(text) else _split_plain(text)
    for name, value, weighs in pairs:
        if name in _READ and value:
            (important if weighs else normal)[name] = value
    return Declarations(normal, important)


def _split_plain(text: str) -> Iterator[tuple[str, str, bool]]:
    for piece in text.split(";"):
        name, colon, value = piece.partition(":")
        if colon:
            head, mark, tail = value.rpartition("!")
            weighs = bool(mark) and tail.strip().lower() == "important"
            yield name.strip().lower(), (head if weighs else value).strip(), weighs


def _split_involved(text: str) -> Iterator[tuple[str, str, bool]]:
    return _split_nodes(tinycss2.parse_blocks_contents(text, skip_comments=True, skip_whitespace=True))


def _split_nodes(nodes: Iterable[Any]) -> Iterator[tuple[str, str, bool]]:
    for node in nodes:
        if node.type == "declaration":
            yield node.lower_name, tinycss2.serialize(node.value).strip(), node.important


class _Rule(NamedTuple):
    weight: tuple[Any, int]
    test: Any
    declarations: Declarations


class Sheets:
    """All style sheets inside a document.

    Parameters
    ----------
    root
        The document.
    style_tags
        Tags of `style` elements.
    limits
        How much text they may hold.

    Raises
    ------
    DrawingError
        When they hold more.

    Attributes
    ----------
    remarks
        (code, what was left out, source line) for rules that are not applied.
    """

    def __init__(self, root: etree._Element, style_tags: tuple[str, ...], limits: Limits) -> None:
        self.root = root
        self.remarks: list[tuple[str, str, int | None]] = []
        self._limits = limits
        self._count = self._tests = self._bytes = 0
        # A rule is tried only on elements that have the id, class or name its last part asks for.
        self._rules: dict[str, list[_Rule]] = {}
        self._by_look: dict[tuple[str, str | None, str | None], tuple[Declarations, ...]] = {}
        self._wrappers: dict[etree._Element, Any] = {}
        self._namespaces: dict[str | None, str] = {}
        self._looks_alone_matter = True
        self._preludes: list[str] = []
        for node in root.iter(*style_tags):
            if node.get("type", "text/css").strip().lower() in {"", "text/css"}:
                self._read_sheet(node)
        self._ids_matter = any("#" in text for text in self._preludes)

    def __bool__(self) -> bool:
        return bool(self._rules)

    def match(self, node: etree._Element) -> tuple[Declarations, ...]:
        """Declarations for an element, the weakest rule first."""
        if not self._looks_alone_matter:
            return self._test(self._wrapper(node))
        look = (str(node.tag), node.get("class"), node.get("id") if self._ids_matter else None)
        known = self._by_look.get(look)
        if known is None:
            known = self._by_look[look] = self._test(cssselect2.ElementWrapper.from_xml_root(node))
        return known

    def _test(self, wrapper: Any) -> tuple[Declarations, ...]:
        keys = ["*", wrapper.local_name.lower(), *(f".{name}" for name in wrapper.classes), f"#{wrapper.id}"]
        tried = [rule for key in keys for rule in self._rules.get(key, ())]
        self._tests += len(tried)
        if self._tests > _MOST_TESTS:
            raise DrawingError(
                "the style sheet has too many rules for so many elements",
                fix="Save the drawing with the styles in the elements themselves.",
            )
        found = [rule for rule in tried if rule.test(wrapper)]
        return tuple(rule.declarations for rule in sorted(found, key=lambda rule: rule.weight))

    def _wrapper(self, node: etree._Element) -> Any:
        if not self._wrappers:
            for wrapper in cssselect2.ElementWrapper.from_xml_root(self.root).iter_subtree():
                # Both are filled by recursion over all elements before, unless asked for one by one.
                _ = wrapper.ancestors
                self._wrappers[wrapper.etree_element] = wrapper
        return self._wrappers[node]

    def _read_sheet(self, node: etree._Element) -> None:
        if not _applies(node.get("media", "")):
            self._remark("media-left-out", f"a style sheet for '{node.get('media')}' was not applied", node)
            return
        text = "".join(str(piece) for piece in node.itertext())
        self._bytes += len(text)
        if self._bytes > self._limits.style_bytes:
            raise DrawingError(
                f"the style sheets hold more than {self._limits.style_bytes} characters",
                fix=more("Save the drawing with the styles in the elements themselves.", "style_bytes"),
                place=Place(line=line_of(node)),
            )
        rules = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
        self._read_rules(rules, node)

    def _read_rules(self, rules: Iterable[Any], node: etree._Element) -> None:
        for rule in rules:
            if rule.type == "qualified-rule":
                self._add(rule, node)
            elif rule.type == "at-rule":
                self._read_at_rule(rule, node)
            elif rule.type == "error":
                self._remark("style-ignored", f"a style rule can't be read ({rule.message})", node)

    def _read_at_rule(self, rule: Any, node: etree._Element) -> None:
        name, prelude = rule.lower_at_keyword, tinycss2.serialize(rule.prelude).strip()
        if name == "import":
            self._remark(
                "style-left-out", f"the style sheet {prelude} is another file and was not read", node
            )
        elif name == "namespace":
            prefix, _, address = prelude.rpartition(" ")
            self._namespaces[prefix or None] = re.sub(r"^url\(|\)$|[\"']", "", address)
        elif name in {"media", "layer", "supports"} and rule.content is not None:
            if name == "media" and not _applies(prelude):
                self._remark("media-left-out", f"style rules for '{prelude}' were not applied", node)
            else:
                inner = tinycss2.parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True)
                self._read_rules(inner, node)

    def _add(self, rule: Any, node: etree._Element) -> None:
        text = tinycss2.serialize(rule.prelude).strip()
        normal: dict[str, str] = {}
        important: dict[str, str] = {}
        nodes = tinycss2.parse_blocks_contents(rule.content, skip_comments=True, skip_whitespace=True)
        for name, value, weighs in _split_nodes(nodes):
            if name in _READ and value:
                (important if weighs else normal)[name] = value
        if not (normal or important):
            return
        is_simple = all(_SIMPLE.fullmatch(part.strip()) for part in text.split(","))
        most = _MOST_FOR_COSTLY if _COSTLY.search(text) else _MOST_FOR_INVOLVED
        if not is_simple and self.root.xpath(f"count(//*) > {most}"):
            self._remark(
                "style-ignored", f"the selector '{text}' was not applied in so large a drawing", node
            )
            return
        try:
            selectors = cssselect2.compile_selector_list(rule.prelude, self._namespaces)
        except cssselect2.SelectorError as fault:
            self._remark("style-ignored", f"the selector '{text}' can't be read ({fault})", node)
            return
        except (RecursionError, MemoryError, SyntaxError):  # the library compiles it, and that has its limits
            self._remark("style-ignored", f"the selector '{text[:60]}...' is nested too deeply", node)
            return
        self._preludes.append(text)
        self._looks_alone_matter &= is_simple
        for selector in selectors:
            if not selector.never_matches and selector.pseudo_element is None:
                self._count += 1
                rule_ = _Rule(
                    (selector.specificity, self._count), selector.test, Declarations(normal, important)
                )
                self._rules.setdefault(_key(selector), []).append(rule_)

    def _remark(self, code: str, text: str, node: etree._Element) -> None:
        self.remarks.append((code, text, line_of(node)))


def _key(selector: Any) -> str:
    """What an element must have for a selector to match: `#id`, `.class`, its name, or nothing."""
    if selector.id is not None:
        return f"#{selector.id}"
    if selector.class_name is not None:
        return f".{selector.class_name}"
    return selector.lower_local_name or "*"


def _applies(media: str) -> bool:
    """Whether a media list holds for a drawing on a screen; conditions such as widths do not."""
    queries = [query.split() for query in media.lower().split(",")]
    return any(query in ([], ["all"], ["screen"], ["only", "screen"], ["not", "print"]) for query in queries)
