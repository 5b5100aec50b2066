"""What lies within an element, found out once: a group may be drawn a hundred thousand times through `use`.

Each answer takes a look at all that lies inside, and is remembered; so a small file can't have the same content
looked through again with every reference.
"""

from __future__ import annotations

from lxml import etree

from cutprep.stages.read.svg.document import Document
from cutprep.stages.read.svg.elements import CHOICES, href_of, passes
from cutprep.stages.read.svg.shapes.basic import TRACERS


class Within:
    """Answers what lies within the elements of a document.

    Parameters
    ----------
    document
        The document.
    """

    def __init__(self, document: Document) -> None:
        self._document = document
        self._shapes: dict[etree._Element, int] = {}
        self._words: dict[etree._Element, bool] = {}
        self._braces: dict[etree._Element, bool] = {}
        self._choices: dict[etree._Element, etree._Element | None] = {}
        self._targets: dict[etree._Element, frozenset[etree._Element]] = {}

    def shapes(self, node: etree._Element) -> int:
        """How many shapes lie in an element, itself included."""
        if node not in self._shapes:
            self._shapes[node] = sum(1 for _ in node.iter(*self._document.tags(*TRACERS)))
        return self._shapes[node]

    def has_words(self, node: etree._Element) -> bool:
        """Whether a text says anything."""
        if node not in self._words:
            self._words[node] = any(str(text).strip() for text in node.itertext())
        return self._words[node]

    def has_braces(self, node: etree._Element) -> bool:
        """Whether a text may mark a place for words: a long one that is drawn again and again is looked through once."""
        if node not in self._braces:
            self._braces[node] = any("{" in str(text) for text in node.itertext())
        return self._braces[node]

    def choice(self, node: etree._Element) -> etree._Element | None:
        """The child that a `switch` chooses (SVG 2, 5.9): the first that is known and whose conditions hold."""
        if node not in self._choices:
            found = (child for child in node if self._document.kind(child) in CHOICES and passes(child))
            self._choices[node] = next(found, None)
        return self._choices[node]

    def leads_to(self, target: etree._Element, use: etree._Element) -> bool:
        """Whether the content of a reference refers back to it, or to its own target.

        SVG 2, 5.6 has only the inner reference in error; SVG 1.1 had the whole one, and renderers still do.
        """
        if target not in self._targets:
            inner = (
                self._document.ids.get(href_of(each)[1:]) for each in target.iter(*self._document.tags("use"))
            )
            self._targets[target] = frozenset(each for each in inner if each is not None)
        return use in self._targets[target] or target in self._targets[target]
