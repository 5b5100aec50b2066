"""Layer names that place their lines by themselves, so that a written drawing needs no rules when it is read again.

A rule such as `--layer lid=cut` stands on the command line, not in the file. A layer whose name
does not say by itself what the rule said gets the operation's word: as a group within it in SVG,
behind its name in DXF, where a layer is one flat name; and where its own words contradict, the
word alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element
from cutprep.model.operation import Fold, Operation
from cutprep.model.rules import LineKind, Rules
from cutprep.stages.classify import kind_of
from cutprep.stages.write.dxf_file import fit_layer_name, write_dxf
from cutprep.stages.write.svg_file import fit_name, write_svg

_NO_RULES = Rules()


def with_lasting_layers(drawing: Drawing, ending: str) -> Drawing:
    """Rename layers where their names alone would place a line otherwise than it is placed.

    Parameters
    ----------
    drawing
        Classified.
    ending
        ".svg" or ".dxf": what the drawing will be written as.

    Returns
    -------
    Drawing
        The same lines; each element has the layer's name that it needs.
    """
    lines = drawing.lines
    numbers: dict[tuple[int, int, int], int] = {}
    elements: list[Element] = []
    source = np.empty(len(lines), np.int32)
    columns = (lines.source.tolist(), lines.operation.tolist(), lines.fold.tolist())
    for i, key in enumerate(zip(*columns, strict=True)):
        if key not in numbers:
            numbers[key] = len(elements)
            elements.append(_lasting(lines.elements[key[0]], Operation(key[1]), Fold(key[2]), ending))
        source[i] = numbers[key]
    # A closed world: elements without a line are of no use to a writer.
    return drawing.with_lines(replace(lines, source=source, elements=tuple(elements) or lines.elements))


def drawing_text(drawing: Drawing, ending: str, name: str) -> str:
    """A drawing as a file that needs no rules.

    Parameters
    ----------
    ending
        ".svg" or ".dxf".
    name
        Of the file, for the error.

    Raises
    ------
    JobError
        When the ending is neither.
    """
    if ending not in (".svg", ".dxf"):
        raise JobError(f"'{name}' ends neither in .svg nor in .dxf", fix="Name the file so.")
    drawing = with_lasting_layers(drawing, ending)
    if ending == ".dxf":
        return write_dxf(drawing.lines, keep=True, arcs=True, texts=drawing.texts)
    return write_svg(
        drawing.lines, page=drawing.page, title=drawing.name, keep=True, arcs=True, texts=drawing.texts
    )


def _lasting(element: Element, operation: Operation, fold: Fold, ending: str) -> Element:
    """The element with the first layer's name that does; the word alone does for all that is placed."""
    if operation is Operation.UNPLACED:
        wanted, word = None, "unplaced"
    else:
        wanted, word = LineKind(operation, fold), _word(operation, fold)
    for layer in _names(element.layer, word, ending):
        named = replace(element, layer=layer)
        if _read_again(named, ending) == wanted:
            break
    else:  # the line's own name would place what nothing else does
        named = replace(named, label="", ident="")
    # A fill without a stroke is read as nothing, unless a layer says otherwise.
    return replace(named, filled=element.filled and wanted is not None)


def _names(layer: str, word: str, ending: str) -> Iterator[str]:
    yield layer
    if layer:
        yield f"{layer}/{word}" if ending == ".svg" else f"{layer} - {word}"
    yield word


def _read_again(element: Element, ending: str) -> LineKind | None:
    """What the names place, as far as the file keeps them: a DXF has no names for single lines."""
    if ending != ".svg":
        return kind_of(Element(layer=fit_layer_name(element.layer)), _NO_RULES)
    layer = "/".join(fit_name(group)[0] for group in element.layer.split("/"))
    own = element.label or element.ident
    label, ident = fit_name(own) if own else ("", "")
    return kind_of(Element(layer=layer, label=label, ident=ident), _NO_RULES)


def _word(operation: Operation, fold: Fold) -> str:
    word = operation.word.replace("-", " ")
    return word if fold is Fold.UNSAID else f"{word} {fold.name.lower()}"
