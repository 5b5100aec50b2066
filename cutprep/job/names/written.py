"""One template for each text of a list: the drawing, and what is written on it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely.geometry.base import BaseGeometry

from cutprep.errors import JobError
from cutprep.job.names.alphabet import Alphabet
from cutprep.job.names.fitting import Fitted, fitted, part_at, room_on
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.lines import Lines
from cutprep.model.operation import Fold, Operation
from cutprep.model.part import PrintedWords, Template
from cutprep.model.rules import Rules
from cutprep.model.text import TextPlace
from cutprep.stages.classify import kind_of
from cutprep.units import plural

#: So many names stand in a message; the rest are counted.
_SHOWN = 12
#: Two heights are one for a person when they differ by less, mm.
_SAME = 0.05
#: Colour of a printed text that has none.
_BLACK = "#000000"
#: Width of printed single strokes as a share of a capital's height: about that of the stems of a light type, common
#: practice, no published source.
_PEN = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class _Spot:
    """A place for a text, with its part, the room that there is for it, and what it is written with."""

    place: TextPlace
    part: int
    room: BaseGeometry
    operation: Operation


def write_names(
    template: Template,
    places: Sequence[TextPlace],
    rows: Sequence[dict[str, str]],
    alphabet: Alphabet,
    least: float,
    rules: Rules,
) -> tuple[tuple[Template, ...], Findings]:
    """Write each row of a list on a template of its own.

    Parameters
    ----------
    template
        Divided, without any text.
    places
        Where words go, mm in the template.
    rows
        Word to text, one for each template.
    alphabet
        Its letters.
    least
        Height of capitals that is small enough for long texts, mm.
    rules
        How lines are classified; a text that nothing places is drawn.

    Returns
    -------
    templates
        In the order of the rows; they differ in their written lines alone.
    findings
        Which texts were written smaller, and which come twice.

    Raises
    ------
    JobError
        When letters are lacking, a place lies on no part, or texts don't fit.
    """
    told = [", ".join(filter(None, (place.filled(row) for place in places))) for row in rows]
    _require_letters(template.name, places, rows, told, alphabet)
    spots = [_spot(template, place, rules) for place in places]
    found: list[Template] = []
    small: list[tuple[str, float]] = []
    refused: list[str] = []
    for row, text in zip(rows, told, strict=True):
        laid = [
            fitted(spot.place, spot.place.filled(row), alphabet, spot.room, least) if text else None
            for spot in spots
        ]
        if None in laid:
            refused.append(text)
            continue
        written = [one for one in laid if one is not None]
        found.append(_with(template, spots, written, text, filled=alphabet.filled))
        small += [
            (spot.place.filled(row), one.height)
            for spot, one in zip(spots, written, strict=True)
            if one.height < spot.place.height - _SAME
        ]
    if refused:
        raise JobError(
            f"{_listed(refused)} {'is' if len(refused) == 1 else 'are'} too long for '{template.name}', even with capitals "
            f"of {least:g} mm",
            fix="Shorten them, draw the tag larger or move its text, or allow smaller ones with --least-height.",
        )
    return tuple(found), (*_smaller(template.name, small), *_twice(template.name, told))


def _listed(texts: Sequence[str]) -> str:
    shown = ", ".join(f"'{text}'" for text in texts[:_SHOWN])
    return shown if len(texts) <= _SHOWN else f"{shown} and {len(texts) - _SHOWN} more"


def _require_letters(
    name: str,
    places: Sequence[TextPlace],
    rows: Sequence[dict[str, str]],
    told: Sequence[str],
    alphabet: Alphabet,
) -> None:
    """Name every letter that the alphabet lacks, with the texts that need it, before anything is laid out."""
    lacking: dict[str, list[str]] = {}
    for row, text in zip(rows, told, strict=True):
        for letter in alphabet.missing("".join(place.filled(row) for place in places)):
            lacking.setdefault(letter, []).append(text)
    if lacking:
        needed = "; ".join(f"'{letter}' in {_listed(texts)}" for letter, texts in lacking.items())
        raise JobError(
            f"{alphabet.name} has no {needed}, so '{name}' can't be written",
            fix="Write them with other letters, or name a font that has them with --font.",
        )


def _spot(template: Template, place: TextPlace, rules: Rules) -> _Spot:
    kind = kind_of(place.element, rules)
    operation = Operation.DRAW if kind is None else kind.operation
    if operation not in (Operation.DRAW, Operation.SCORE, Operation.PRINT):
        raise JobError(
            f"the text '{place.words}' of '{template.name}' stands on the layer '{place.element.layer}' for "
            f"'{operation.word}'; texts are drawn, scored or printed",
            fix="Put it on a layer named draw, score or print.",
        )
    part = part_at(template, place)
    if part is None:
        raise JobError(
            f"the text '{place.words}' of '{template.name}' lies on no part",
            fix="Move it onto the card, inside a closed outline.",
        )
    return _Spot(place, part, room_on(template, template.parts[part]), operation)


def _with(
    template: Template, spots: Sequence[_Spot], written: Sequence[Fitted], text: str, *, filled: bool
) -> Template:
    """The template with what is written, each stroke on the part that it lies on, and what is printed."""
    words = []
    blocks, parts = [template.lines], list(template.parts)
    first = len(template.lines)
    for spot, one in zip(spots, written, strict=True):
        count = len(one.strokes)
        if not count:
            continue
        if spot.operation is Operation.PRINT:
            colour = spot.place.element.colour or _BLACK
            strokes = tuple(points for points, _ in one.strokes)
            words.append(PrintedWords(strokes, colour, 0.0 if filled else _PEN * one.height))
            continue
        blocks.append(
            Lines.of(
                [points for points, _ in one.strokes],
                operation=[int(spot.operation)] * count,
                fold=[int(Fold.UNSAID)] * count,
                source=[0] * count,
                curved=[curved for _, curved in one.strokes],
                elements=(replace(spot.place.element, label=text),),
            )
        )
        part = parts[spot.part]
        parts[spot.part] = replace(part, inner=(*part.inner, *range(first, first + count)))
        first += count
    return replace(template, lines=Lines.concat(blocks), parts=tuple(parts), text=text, words=tuple(words))


def _smaller(name: str, small: Sequence[tuple[str, float]]) -> Findings:
    if not small:
        return ()
    shown = ", ".join(f"'{text}' {height:.1f} mm" for text, height in small)
    return (
        Finding.of(
            "name-smaller",
            f"{plural(len(small), 'text')} of '{name}' {'is' if len(small) == 1 else 'are'} written smaller to fit: {shown}",
            measure=min(height for _, height in small),
            unit="mm",
        ),
    )


def _twice(name: str, told: Sequence[str]) -> Findings:
    often = [(text, count) for text, count in Counter(told).items() if count > 1]
    if not often:
        return ()
    shown = ", ".join(f"'{text}' {count} times" for text, count in often[:_SHOWN])
    return (
        Finding.of(
            "name-twice",
            f"the list of '{name}' holds {shown}; each is made as often",
            measure=float(len(often)),
            unit="texts",
        ),
    )
