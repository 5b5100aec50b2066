"""Every kind of template to choose from: a picture flat and folded, and its dimensions with the letters of the picture.

To fold thirty kinds takes seconds, and a kind as it comes never changes while the program runs: so those pictures come with it,
and the tests hold them to what is drawn and folded.
"""

from __future__ import annotations

import re
import string
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files

from cutprep.job.shown.lengths import measured
from cutprep.job.shown.picture import flat_and_folded
from cutprep.model.folded import FoldReport
from cutprep.report.page import render
from cutprep.stages.fold.declared.file import FoldDeclarations
from cutprep.stages.fold.plan import fold
from cutprep.template.dimensions import Dimension
from cutprep.template.family.fitting import FittedPiece, side_by_side
from cutprep.template.family.pieces import PieceSet
from cutprep.template.kind import KindOfTemplate
from cutprep.template.kinds import KINDS
from cutprep.template.remedy import draw_or_advise
from cutprep.tolerance import Tolerance

_USUAL = {"length": "L", "width": "W", "height": "H"}
#: How a picture tells which dimension a letter is for: our own attribute, as SVG allows.
_LETTER = re.compile(r'data-of="([\w-]+)" data-letter="(\w)"')


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
    stored = files("cutprep.job.shown") / "kinds" / f"{kind.name}.svg"
    picture = stored.read_text(encoding="utf-8").strip() if stored.is_file() else drawn_picture(kind)
    letters = dict(_LETTER.findall(picture))
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
    drawing = draw_or_advise(kind, given)
    spots = {d.name: spot for d in kind.dimensions if (spot := measured(kind, d, drawing, given)) is not None}
    letters = _letters([d.name for d in kind.dimensions if d.name in spots])
    if words:  # a letter stays what it is in the picture of the usual dimensions
        usual = {field.name: field.letter for field in entry_of(kind).fields if field.letter}
        letters = {name: usual[name] for name in letters if name in usual}
    if reports is None:
        # With declarations, though empty ones, no forgotten score is looked for: a kind of ours has all of its own.
        caliper = kind.values(**given).get("caliper", 0.0)
        reports = fold(drawing, declared=FoldDeclarations(), thickness=caliper, tolerance=Tolerance())
    marked = [(name, letters[name], *spots[name]) for name in letters]
    return flat_and_folded(kind.title, drawing, marked, reports)


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


def _letters(names: Sequence[str]) -> dict[str, str]:
    """A letter for each dimension: L, W and H as everywhere, then one of its own name, then any."""
    found: dict[str, str] = {}
    for name in sorted(names, key=lambda one: one not in _USUAL):
        wanted = [_USUAL.get(name, ""), *name.replace("-", ""), *string.ascii_lowercase]
        found[name] = next(letter for letter in wanted if letter and letter not in found.values())
    return {name: found[name] for name in names}
