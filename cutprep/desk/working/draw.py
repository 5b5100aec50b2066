"""The process that draws templates and sets from dimensions as they are typed; it answers one question after the other.

A question: `ask`, and what it is about. "list" names all kinds and sets; "kind" gives the fields of one; "picture" shows it
with some `words`; "files" gives what a job of it holds. The answer has `problem` and `fix` where it can't be done.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from cutprep.desk.working.asking import answer_all
from cutprep.errors import CutprepError, JobError
from cutprep.job.gallery import GalleryField, drawn_picture, entry_of, set_picture
from cutprep.job.lasting import drawing_text
from cutprep.job.pieces.sets import prove_set, set_job
from cutprep.model.findings.finding import errors
from cutprep.template.dimensions import Dimension
from cutprep.template.family.fitting import FittedPiece, fit_set
from cutprep.template.family.pieces import PieceSet, changed
from cutprep.template.family.ready import READY, ready_set
from cutprep.template.kinds import KINDS, kind_named
from cutprep.template.remedy import draw_or_advise
from cutprep.units import length, say_length, told_in, worked_in

#: What is known of templates, as plain data.
Told = dict[str, Any]


def _listed(_: str, __: dict[str, str]) -> Told:
    """All kinds, and all sets to begin with."""
    return {
        "kinds": [{"name": kind.name, "title": kind.title} for kind in KINDS.values()],
        "sets": [{"name": name, "title": ready_set(name).title} for name in READY],
    }


def _kind(name: str, _: dict[str, str]) -> Told:
    """Title and fields of a kind or of a set."""
    if name in READY:
        fields = [
            GalleryField(f"{piece.name}.{key}", f"{key} of the {piece.name}", "", value)
            for piece in ready_set(name).pieces
            for key, value in (*_across(piece.grid), *piece.words)
        ]
        return {
            "name": name,
            "title": ready_set(name).title,
            "fields": list(map(_field, fields)),
            "extras": [],
        }
    one = entry_of(kind_named(name))
    own = kind_named(name).dimensions
    return {
        "name": name,
        "title": one.title,
        "source": kind_named(name).source,
        "fields": [_field(field, d) for field, d in zip(one.fields, own, strict=True)],
        "extras": list(map(_field, one.extras)),
    }


def _across(grid: tuple[int, int, int]) -> list[tuple[str, str]]:
    """How many of what goes into a piece stand each way, where there are several."""
    names = ("columns", "rows", "layers")
    return [(name, str(count)) for name, count in zip(names, grid, strict=True) if max(grid) > 1]


def _field(one: GalleryField, own: Dimension | None = None) -> Told:
    """A field as the page shows it; `own` knows what stands for its default where others are in inches."""
    limits = f"{one.least} to {one.most}" if one.least else ""
    try:
        mm = length(one.default)
    except CutprepError:
        mm = 0.0  # a count, a word or a text
    named = f"{own.standard}, " if own and own.standard else ""
    return {
        "name": one.name,
        "meaning": one.meaning,
        "letter": one.letter,
        "default": one.default,
        "inches": named + say_length(own.usual("in") if own else mm, "in") if mm >= _LEAST else "",
        "limits": limits,
        "choices": list(one.choices),
    }


def _picture(name: str, words: dict[str, str]) -> Told:
    """A kind or a set as a picture, flat and folded."""
    if name not in READY:
        return {"picture": drawn_picture(kind_named(name), words=words)}
    return {"picture": set_picture(*_fitted(name, words))}


def _files(name: str, words: dict[str, str]) -> Told:
    """What a job begins with: name and text of each file, the job file among them."""
    told = "".join(f" {key}={_plain(value)}" for key, value in words.items())
    if name not in READY:
        drawing = draw_or_advise(kind_named(name), kind_named(name).read(words), worked_in(words.values()))
        text = drawing_text(drawing, ".svg", name)
        note = f"# {name}.svg: cutprep template {name}{told} --out {name}.svg\n"
        return {"files": [[f"{name}.svg", text]], "note": note, "title": name.replace("-", " ")}
    one, fitted = _fitted(name, words)
    for fault in errors(prove_set(fitted)):
        raise JobError(fault.problem, fix=fault.fix)
    files = [[f"{fit.piece.name}.svg", drawing_text(fit.drawing, ".svg", fit.piece.name)] for fit in fitted]
    note = f"# drawn by: cutprep template {name}{told} --out FOLDER\n"
    return {"files": [*files, ["job.toml", note + set_job(one, fitted)]], "note": "", "title": one.title}


def _plain(value: str) -> str:
    """A value in a comment, quoted for a shell where it has to be; no sign in it ends the line."""
    return json.dumps(value, ensure_ascii=False) if set(value) - _BARE else value


#: Less is a thickness of card, which nobody gives in eighths, mm.
_LEAST = 3.0
_BARE = set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-_")


def _fitted(name: str, words: dict[str, str]) -> tuple[PieceSet, list[FittedPiece]]:
    one = changed(ready_set(name), words.items())
    return one, list(fit_set(one))


_ANSWERS: dict[str, Callable[[str, dict[str, str]], Told]] = {
    "list": _listed,
    "kind": _kind,
    "picture": _picture,
    "files": _files,
}


def answer(question: Told) -> Told:
    """Answer one question, its faults in the unit of the words."""
    words = question.get("words", {})
    with told_in(worked_in(words.values()), exact=True):
        return _ANSWERS[question["ask"]](question.get("name", ""), words)


if __name__ == "__main__":
    answer_all(answer)
