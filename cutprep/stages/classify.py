"""Which operation a line is for: rules the maker gave, then words of the trade in layer names.

Order: a rule for the layer's name, a rule for the stroke's colour, the words in the layer's
name (the innermost group that says something), the words in the element's own name, and last
the rule for dashed lines; before the first two, where such a rule meets solid and dashed lines
alike. What none of them places is an error: it is never cut in silence.
"""

from __future__ import annotations

import re
import shlex
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from cutprep.errors import JobError, Place
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.lines import Element
from cutprep.model.operation import Fold, Operation
from cutprep.model.rules import CHOICES, UNNAMED, LineKind, Rules
from cutprep.tables import suggest

_CUT, _SCORE, _PARTIAL = CHOICES["cut"], CHOICES["score"], CHOICES["partial-cut"]
_PERFORATE, _DRAW, _GUIDE = CHOICES["perforate"], CHOICES["draw"], CHOICES["guide"]

#: Words of the trade (common practice, no published source), and those of ISO 19593-1:2018 as restated by
#: two public implementations: Cutting, PartialCutting, Creasing, Perforating, Folding, Dimensions.
WORDS: dict[str, LineKind] = {
    **dict.fromkeys(("cut", "cutting", "cutline", "cutout", "knife", "blade"), _CUT),
    **dict.fromkeys(("score", "scoring", "scoreline", "crease", "creasing", "creaseline"), _SCORE),
    **dict.fromkeys(("fold", "folding", "foldline", "bend"), _SCORE),
    "mountain": CHOICES["mountain"],
    "valley": CHOICES["valley"],
    **dict.fromkeys(("perforate", "perforated", "perforating", "perforation", "perf"), _PERFORATE),
    **dict.fromkeys(("draw", "drawn", "pen", "ink"), _DRAW),
    **dict.fromkeys(("guide", "guideline", "note", "dimension", "annotation", "construction"), _GUIDE),
    **dict.fromkeys(("partialcut", "partialcutting", "kisscut", "halfcut"), _PARTIAL),
    **dict.fromkeys(("partial", "kiss", "half"), _PARTIAL),
    **dict.fromkeys(("print", "printed", "printing", "artwork"), CHOICES["print"]),
}
#: Words that turn a name's meaning round; such a name places nothing.
_NEGATIONS = {"no", "not", "non", "dont", "never", "without", "un", "off"}


@lru_cache(maxsize=1024)  # of many lines few layers
def kind_in(name: str) -> LineKind | None:
    """Find what a name says in words of the trade.

    Names such as "1 - cut", "CutLines", "fold_valley" and "creases" are understood; a name that says
    two things at once, or says no, says nothing.
    """
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name.replace("'", "").replace("’", ""))
    words = re.findall(r"[^\W\d_]+", spaced.lower())
    if _NEGATIONS.intersection(words):
        return None
    found = {kind for word in words if (kind := _kind_of(word)) is not None}
    operations = {kind.operation for kind in found}
    if operations == {Operation.PARTIAL_CUT, Operation.CUT}:
        return _PARTIAL
    folds = {kind.fold for kind in found} - {Fold.UNSAID}
    if operations == {Operation.PERFORATE, Operation.SCORE} and len(folds) <= 1:
        return LineKind(Operation.PERFORATE, next(iter(folds), Fold.UNSAID))
    if len(operations) != 1 or len(folds) > 1 or words == ["half"]:
        return None
    return LineKind(next(iter(operations)), next(iter(folds), Fold.UNSAID))


def _kind_of(word: str) -> LineKind | None:
    for form in (word, word.removesuffix("s"), word.removesuffix("es")):
        for stem in (form, form.removesuffix("line")):
            if stem in WORDS:
                return WORDS[stem]
    return None


def classify(drawing: Drawing, rules: Rules) -> Drawing:
    """Give every line its operation.

    Returns
    -------
    Drawing
        Filled shapes that nothing places are left out with a note. Lines that no rule places
        stay `UNPLACED`, with a finding of severity error for each layer and colour.
    """
    placed = _parted_by_dashes(drawing.elements, [_place(e, rules) for e in drawing.elements], rules)
    kinds = [kind for kind, _ in placed]
    source = drawing.lines.source
    operation = np.array([k.operation if k else Operation.UNPLACED for k in kinds], np.int8)[source]
    fold = np.array([k.fold if k else Fold.UNSAID for k in kinds], np.int8)[source]
    lines = drawing.lines.with_operations(operation, fold)
    filled = np.array([e.filled and not rules.fill_as_outline for e in drawing.elements])[source]
    left = filled & (operation == Operation.UNPLACED)
    notes = drawing.notes + _filled_notes(drawing, np.unique(source[left]).tolist())
    kept = replace(drawing, lines=lines.take(~left), notes=notes, rules=tuple(rule for _, rule in placed))
    return replace(kept, notes=kept.notes + _unplaced(kept))


def require_matches(rules: Rules, drawings: Sequence[Drawing]) -> None:
    """Refuse rules of which one matches nothing in the drawings it was given for: it has a slip in it.

    Parameters
    ----------
    rules
        Given for these drawings together.
    drawings
        As read; each rule must match an element of at least one.

    Raises
    ------
    JobError
        Naming the rule, and the layers or colours that are near.
    """
    elements = [element for drawing in drawings for element in drawing.elements]
    where = f"in '{drawings[0].name}'" if len(drawings) == 1 else f"in any of the {len(drawings)} drawings"
    # Texts and pictures are no lines, but what is printed may be nothing else.
    beside = [
        Element(file="", line=None, tag="", layer=place.layer)
        for drawing in drawings
        for note in drawing.notes
        for place in note.places
        if place.layer
    ]
    layers = list(dict.fromkeys(name for element in (*elements, *beside) for name in _names(element)))
    matched = {name.lower() for name in layers}
    for name, _ in rules.layers:
        if name.lower() not in matched and name not in rules.quiet:
            raise JobError(
                f"no layer {where} is called '{name}', so its rule does nothing", fix=suggest(name, layers)
            )
    colours = list(dict.fromkeys(element.colour for element in elements if element.colour))
    for colour, _ in rules.colours:
        if colour not in colours and colour not in rules.quiet:
            raise JobError(
                f"no line {where} has the colour {colour}, so its rule does nothing",
                fix=suggest(colour, colours),
            )


def _names(element: Element) -> list[str]:
    """Names that a rule may know the element's layer by: each group, innermost first, and the whole chain."""
    groups = [group for group in element.layer.split("/") if group][::-1]
    return list(dict.fromkeys((*groups, element.layer))) if groups else [UNNAMED]


def kind_of(element: Element, rules: Rules) -> LineKind | None:
    """What rules and names say of an element; None when they say nothing."""
    return _place(element, rules)[0]


def _place(element: Element, rules: Rules) -> tuple[LineKind | None, str]:
    """Kind of an element, and the rule that says so."""
    names = {name.lower() for name in _names(element)}
    for name, kind in rules.layers:
        if name.lower() in names:
            return kind, f"rule: layer {name}"
    for colour, kind in rules.colours:
        if colour == element.colour:
            return kind, f"rule: colour {colour}"
    for group in [g for g in element.layer.split("/") if g][::-1]:
        found = kind_in(group)
        if found is not None:
            return found, f"layer name '{group}'"
    for own in (element.label, element.ident):
        found = kind_in(own) if own else None
        if found is not None:
            return found, f"own name '{own}'"
    if rules.dashed is not None and element.dash:
        return rules.dashed, "rule: dashed"
    return None, ""


def _parted_by_dashes(
    elements: Sequence[Element], placed: Sequence[tuple[LineKind | None, str]], rules: Rules
) -> list[tuple[LineKind | None, str]]:
    """Where the maker's rule for a layer or colour meets solid and dashed lines, the rule for dashed ones parts them."""
    if rules.dashed is None:
        return list(placed)
    solid = {
        rule for (_, rule), e in zip(placed, elements, strict=True) if not e.dash and rule.startswith("rule")
    }
    return [
        (rules.dashed, "rule: dashed") if e.dash and rule in solid else (kind, rule)
        for (kind, rule), e in zip(placed, elements, strict=True)
    ]


def _filled_notes(drawing: Drawing, sources: Sequence[int]) -> Findings:
    """Say which filled shapes without a stroke were left out, one finding a layer."""
    by_layer: dict[str, list[Element]] = defaultdict(list)
    for i in sources:
        by_layer[drawing.elements[i].layer].append(drawing.elements[i])
    return tuple(
        Finding.of(
            code="fill-left-out",
            problem=f"{len(group)} filled shape{'s' * (len(group) > 1)} without a stroke on layer "
            f"'{layer or UNNAMED}' left out: a fill is no line",
            fix="Give the shape a stroke, name its layer after an operation, or use --fill-as-outline.",
            places=tuple(_place_of(e) for e in group),
            measure=float(len(group)),
            unit="",
        )
        for layer, group in by_layer.items()
    )


def _place_of(element: Element) -> Place:
    return Place(file=element.file, line=element.line, element=element.name or None, layer=element.layer)


def _unplaced(drawing: Drawing) -> Findings:
    """One error for each layer and colour that no rule places, with the option that would."""
    lines = drawing.lines
    groups: dict[tuple[str, str | None], list[int]] = defaultdict(list)
    for i in np.flatnonzero(lines.operation == Operation.UNPLACED).tolist():
        element = lines.element(i)
        groups[element.layer, element.colour].append(i)
    found = []
    for (layer, colour), members in groups.items():
        option = shlex.quote(f"{layer or UNNAMED}=cut")
        also = f" or --colour {shlex.quote(f'{colour}=cut')}" if colour else ""
        count = len(members)
        dashed = sum(bool(lines.element(i).dash) for i in members)
        fix = f"Add --layer {option}{also} (or =score, =guide, ...)."
        if 0 < dashed < count:
            fix = (
                f"Add --layer {option} --dashed score, which cuts the {count - dashed} solid and scores the {dashed} dashed, or "
                f"--layer {option}{also} for all of them (or =score, =guide, ...)."
            )
        found.append(
            Finding.of(
                code="unplaced-line",
                problem=f"{count} line{'s' * (count > 1)} on layer '{layer or UNNAMED}', colour "
                f"{colour or 'none'}: nothing says whether to cut or to score "
                f"{'them' if count > 1 else 'it'}",
                fix=fix,
                places=tuple(
                    replace(_place_of(lines.element(i)), xy=(float(x), float(y)))
                    for i in members[:20]
                    for x, y in lines.points(i)[:1]
                ),
                measure=float(count),
                unit="lines",
            )
        )
    return tuple(found)
