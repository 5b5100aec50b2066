"""Every kind of template to choose from: a picture flat and folded, and its dimensions with the letters of the picture.

To fold thirty kinds takes seconds, and a kind as it comes never changes while the program runs: so those pictures come with it,
and the tests hold them to what is drawn and folded.
"""

from __future__ import annotations

import re
import string
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.job.shown.lengths import LEAST, MORE, measured
from cutprep.job.shown.picture import flat_and_folded, shown_folded
from cutprep.job.shown.standing import Standing, standing
from cutprep.job.shown.stored import stored_picture
from cutprep.model.drawing import Drawing
from cutprep.model.folded import FoldReport
from cutprep.model.lines import Points
from cutprep.report.page import render
from cutprep.report.pictures.panel_letters import SpaceMark
from cutprep.stages.fold.declared.file import FoldDeclarations
from cutprep.stages.fold.plan import fold
from cutprep.template.dimensions import Dimension
from cutprep.template.family.fitting import FittedPiece, side_by_side
from cutprep.template.family.pieces import PieceSet
from cutprep.template.kind import KindOfTemplate
from cutprep.template.kinds import KINDS
from cutprep.template.remedy import draw_or_advise
from cutprep.template.sketch import Aids
from cutprep.tolerance import Tolerance
from cutprep.units import worked_in

_USUAL = {"length": "L", "width": "W", "height": "H"}
#: How a picture tells which dimension a letter is for: our own attribute, as SVG allows.
_LETTER = re.compile(r"""data-of=["']([\w-]+)["'] data-letter=["'](\w)["'](?: data-lies='(\w+)')?""")
#: No distance on the card: what it is made of, and how far pieces stand from each other when they are put together.
_NO_DISTANCE = ("caliper", "play")


@dataclass(frozen=True, slots=True)
class GalleryField:
    """One dimension of a kind.

    Attributes
    ----------
    name, meaning
        Its key, and one line for a person.
    letter
        Where it stands in the picture; empty when it is no distance there.
    default, least, most
        As they are typed; limits are empty for words and texts.
    choices
        Words to choose from.
    """

    name: str
    meaning: str
    letter: str
    default: str
    least: str = ""
    most: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GalleryEntry:
    """One kind of template.

    Attributes
    ----------
    name, title
        Its key, and one line for a person.
    picture
        SVG that stands alone: flat with letters, and folded where it folds.
    fields
        Its own dimensions.
    extras
        Those of what can be added to its faces.
    folds
        Whether it is shown folded too.
    """

    name: str
    title: str
    picture: str
    fields: tuple[GalleryField, ...]
    extras: tuple[GalleryField, ...] = ()
    folds: bool = False


def gallery() -> tuple[GalleryEntry, ...]:
    """Every kind as it comes; a picture that is missing is drawn."""
    return tuple(entry_of(kind) for kind in KINDS.values())


def entry_of(kind: KindOfTemplate) -> GalleryEntry:
    """A kind as it comes."""
    stored = stored_picture(kind.name)
    picture = drawn_picture(kind) if stored is None else stored.strip()
    letters = {name: letter for name, letter, _ in _LETTER.findall(picture)}
    own = tuple(_field(d, letters.get(d.name, "")) for d in kind.dimensions)
    extras = tuple(_field(d, "") for d in kind.all_dimensions[len(own) :])
    return GalleryEntry(kind.name, kind.title, picture, own, extras, picture.count("<svg") > 1)


def drawn_picture(
    kind: KindOfTemplate,
    reports: Sequence[FoldReport] | None = None,
    words: Mapping[str, str] | None = None,
) -> str:
    """Draw a kind, flat with letters and folded.

    Parameters
    ----------
    kind
        Of template.
    reports
        When it has been folded already.
    words
        Its dimensions as they are typed; what is not named has its default.

    Returns
    -------
    str
        SVG.

    Raises
    ------
    JobError
        Naming the dimension that can't be, its value and its limits.
    """
    given = kind.read(words or {})
    drawing = draw_or_advise(kind, given, worked_in((words or {}).values()))
    usual = _usual(kind) if words or reports is not None else None
    reports = _folded(kind, given, drawing) if reports is None else reports
    seen = kind.seen(**given)
    spots = {
        d.name: spot for d in kind.dimensions if (spot := _spot(kind, d, drawing, given, seen)) is not None
    }
    rest = [d for d in kind.dimensions if d.plain and d.name not in (*spots, *_NO_DISTANCE)]
    stands = _standing(kind, given, rest, reports, usual)
    letters = _letters([d.name for d in kind.dimensions if d.name in spots or d.name in stands])
    if usual is not None:  # a letter stays what it is in the picture of the usual dimensions
        kept = {name: usual[name][0] for name in letters if name in usual}
        letters = kept | _letters([name for name in letters if name not in usual], kept.values())
    marked = [(name, letters[name], *spots[name]) for name in letters if name in spots]
    marks: dict[int, list[SpaceMark]] = {}
    for name, (k, one) in stands.items():
        if name in letters:
            marks.setdefault(k, []).append(SpaceMark(name, letters[name], one.lies, one.ends))
    shown = () if kind.bends else reports
    return flat_and_folded(kind.title, drawing, marked, shown, marks, seen.lines)


def _spot(
    kind: KindOfTemplate, d: Dimension, drawing: Drawing, given: Mapping[str, float | str], seen: Aids
) -> tuple[Points, Points] | None:
    """Where a dimension lies on the card: where the kind says so, else between two corners; None where it isn't seen."""
    if d.name in seen.spans:
        p, q = seen.spans[d.name]
        return (p, q) if float(np.hypot(*(q - p))) >= LEAST else None
    return measured(kind, d, drawing, given)


def _folded(
    kind: KindOfTemplate, given: Mapping[str, float | str], drawing: Drawing
) -> tuple[FoldReport, ...]:
    """With declarations, though empty ones, no forgotten score is looked for: a kind of ours has all of its own."""
    caliper = kind.values(**given).get("caliper", 0.0)
    return fold(drawing, declared=FoldDeclarations(), thickness=caliper, tolerance=Tolerance())


def _usual(kind: KindOfTemplate) -> dict[str, tuple[str, str]]:
    """Letter of each dimension in the picture of the usual ones, and how it lies on the folded piece, or nothing."""
    return {name: (letter, lies) for name, letter, lies in _LETTER.findall(entry_of(kind).picture)}


def _standing(
    kind: KindOfTemplate,
    given: Mapping[str, float | str],
    rest: Sequence[Dimension],
    reports: Sequence[FoldReport],
    usual: Mapping[str, tuple[str, str]] | None,
) -> dict[str, tuple[int, Standing]]:
    """Dimensions seen only on the folded pieces: by which of those shown, and where.

    The usual picture is sure of it by folding a piece with more of the dimension; later ones look for what it found.
    """
    found: dict[str, tuple[int, Standing]] = {}
    shown = shown_folded(reports)
    for d in rest:
        value = given.get(d.name, d.default)
        lies = "" if usual is None else usual.get(d.name, ("", ""))[1]
        if not isinstance(value, float | int) or value < 1 or (usual is not None and not lies):
            continue
        grown: Sequence[FoldReport | None] = [None] * len(shown)
        if usual is None:
            larger = {**given, d.name: value + MORE}
            grown = shown_folded(_folded(kind, larger, kind.from_values(**larger)))
        for k, (report, more) in enumerate(zip(shown, grown, strict=False)):
            one = standing(report, value, more, MORE, lies)
            if one is not None:
                found.setdefault(d.name, (k, one))
    return found


def set_picture(one: PieceSet, fitted: Sequence[FittedPiece]) -> str:
    """Draw a set as SVG: every piece once, flat, and the first one folded."""
    first = fold(
        fitted[0].drawing, declared=FoldDeclarations(), thickness=fitted[0].caliper, tolerance=Tolerance()
    )
    return flat_and_folded(one.title, side_by_side(one, fitted), (), first)


def _field(d: Dimension, letter: str) -> GalleryField:
    limits = ("", "") if d.choices or d.text else (d.say(d.least), d.say(d.most))
    return GalleryField(d.name, d.meaning, letter, d.say(d.default), *limits, d.choices)


def gallery_page(kinds: Sequence[GalleryEntry]) -> str:
    """A page that shows every kind; each picture lies beside it as KIND.svg."""
    shown = [{"name": k.name, "title": k.title, "own": k.fields, "folds": k.folds} for k in kinds]
    return render("gallery.html", kinds=shown)


def _letters(names: Sequence[str], taken: Collection[str] = ()) -> dict[str, str]:
    """A letter for each dimension, none of those taken: L, W and H as everywhere, then one of its own name, then any."""
    found: dict[str, str] = {}
    for name in sorted(names, key=lambda one: one not in _USUAL):
        wanted = [_USUAL.get(name, ""), *name.replace("-", ""), *string.ascii_lowercase]
        found[name] = next(letter for letter in wanted if letter and letter not in (*found.values(), *taken))
    return {name: found[name] for name in names}
