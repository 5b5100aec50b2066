"""Which elements matter, and what an element says by itself, before any style.

Rules: SVG 2, chapter 5 "Document Structure": 5.8 "Conditional processing attributes", 5.9 "switch".
"""

from __future__ import annotations

from lxml import etree

from cutprep.errors import DrawingError
from cutprep.stages.read.svg.shapes.basic import TRACERS
from cutprep.stages.read.svg.xml import SVG

SERVERS = ("linearGradient", "radialGradient", "pattern", "meshgradient", "hatch", "solidcolor")
GRADIENTS = SERVERS[:2]
_XLINK = "{http://www.w3.org/1999/xlink}href"
GROUPS = frozenset({"g", "a", "switch", "use", "svg"})
LEFT_OUT = {"text": "text-left-out", "image": "image-left-out", "foreignObject": "foreign-left-out"}
DRAWN = (*TRACERS, *GROUPS, *LEFT_OUT)
_LANGUAGE = "en"
#: What a `switch` may choose although nothing of it is drawn.
CHOICES = frozenset({*DRAWN, "defs", "symbol", "clipPath", "mask", "marker", "filter", *SERVERS}) - {
    "foreignObject"
}
#: Features of SVG 1.1, appendix P "Feature Strings", that a reader of lines has.
_FEATURE = "http://www.w3.org/TR/SVG11/feature#"
_FEATURES = frozenset(
    f"{_FEATURE}{name}"
    for name in [
        "SVG-static",
        "SVGDOM-static",
        "CoreAttribute",
        "Structure",
        "BasicStructure",
        "ContainerAttribute",
        "ConditionalProcessing",
        "Image",
        "Style",
        "Shape",
        "Text",
        "BasicText",
        "PaintAttribute",
        "BasicPaintAttribute",
        "OpacityAttribute",
        "GraphicsAttribute",
        "BasicGraphicsAttribute",
        "Marker",
        "Gradient",
        "Pattern",
        "Clip",
        "BasicClip",
        "Mask",
        "Filter",
        "BasicFilter",
        "XlinkAttribute",
    ]
)
_KINDS = tuple(sorted({*CHOICES, "foreignObject", "style", "stop"}))


def tags_of(root: etree._Element) -> dict[str, str]:
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


def href_of(node: etree._Element) -> str:
    """What an element refers to; SVG 2, 16.1.6: `href` goes before the older `xlink:href`."""
    for name in ("href", _XLINK, "xlink:href"):
        if (text := node.get(name)) is not None:
            return text.strip()
    return ""


def join_layer(layer: str, name: str) -> str:
    """Add a group's name to the names around it."""
    name = name.strip()
    return f"{layer}/{name}" if layer and name else layer or name


def passes(node: etree._Element) -> bool:
    """Whether the conditional attributes of an element hold (SVG 2, 5.8)."""
    if node.get("requiredExtensions") is not None:
        return False
    features = node.get("requiredFeatures")  # gone from SVG 2, but drawings made for SVG 1.1 lean on it
    if features is not None and not (features.strip() and _FEATURES.issuperset(features.split())):
        return False
    languages = node.get("systemLanguage")
    if languages is None:
        return True
    return any(each.strip().lower().split("-")[0] == _LANGUAGE for each in languages.split(","))


def path_in_css(text: str) -> str | None:
    """Path data inside a CSS `path("...")`."""
    inner = text.strip()
    if inner.startswith("path(") and inner.endswith(")"):
        return inner[5:-1].strip().strip("\"'")
    return None
