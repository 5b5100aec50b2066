"""What is wrong: every error and warning in the drawings, with a picture, and what was mended."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from cutprep.desk.fields import on_the_page
from cutprep.desk.sections.store import Shown, Store
from cutprep.errors import Place
from cutprep.job.job import Item, Job
from cutprep.job.loading import Loaded
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Severity, errors, in_words, sentence
from cutprep.model.findings.kinds import FindingGroup, by_kind
from cutprep.report.answers import wrong_answer
from cutprep.report.pictures.findings import findings_picture
from cutprep.report.pictures.mended import change_picture
from cutprep.stages.mend.leave import NEAR
from cutprep.stages.mend.mending import LEAVABLE
from cutprep.units import place_in

_MOST_PLACES = 5
#: So many changes of a drawing are shown closely; of the others the sentence stands alone.
_MOST_LOOKS = 24
#: Advice that names an option of the command line, where the page has a field.
_OPTION = ": --keep cut, score or outline"


def wrong(job: Job, loaded: Sequence[Loaded], drawn: Sequence[tuple[Item, Drawing]], store: Store) -> Shown:
    """Show what was found in each drawing, and what mending did about it.

    Parameters
    ----------
    job, loaded
        The job, and its drawings as they were checked.
    drawn
        Its drawings before they were mended.
    store
        Takes the pictures.
    """
    before = {item.row: drawing for item, drawing in drawn}
    rows = []
    told: list[Finding] = []
    mended = left = 0
    for one in loaded:
        found = [f for f in one.findings if f.severity is not Severity.NOTE]
        told += found
        # Of a drawing whose pieces are cut from several cards the changes are those of all of it.
        changes = [] if one.item.only else _changes(job, one, before[one.item.row], store)
        wished = [] if one.item.only or job.mending is None else _wished(job, one)
        mended += len(changes)
        left += sum(row["met"] for row in wished)
        rows.append(
            {
                "row": one.item.row,
                "file": one.item.path.name,
                "kinds": [_kind(kind, job.unit) for kind in by_kind(found)],
                "picture": store.keep(
                    "wrong", findings_picture(one.drawing, tuple(found), words=False), "svg"
                )
                if any(f.places for f in found)
                else "",
                "mended": changes,
                "left": wished,
            }
        )
    bad = errors(told)
    answer = wrong_answer([in_words(f, job.unit) for f in told])
    if mended or left:
        answer = answer.rstrip(".")
    if mended:
        answer += f"; {mended} {'thing was' if mended == 1 else 'things were'} mended"
    if left:
        answer += f"; {left} left as drawn"
    return {
        "state": "needs" if bad and not job.despite_findings else "done",
        "answer": answer,
        "errors": len(bad),
        "mendable": any(f.mend.value != "none" for f in told),
        "drawings": rows,
    }


def _changes(job: Job, one: Loaded, before: Drawing, store: Store) -> list[Shown]:
    """Each change of mending with a close look at the place before and after it."""
    after = one.whole or one.drawing
    rows = []
    for number, change in enumerate(one.mended):
        words = in_words(change, job.unit)
        spot = change.places[0].xy if change.places else None
        look = change_picture(before.lines, after.lines, change) if number < _MOST_LOOKS else ""
        rows.append(
            {
                "told": f"{sentence(words.problem)} {words.fix}".strip(),
                "code": change.code if change.code in LEAVABLE and spot is not None else "",
                "at": f"{spot[0]:.2f},{spot[1]:.2f}" if spot is not None else "",
                "look": store.keep("mended", look, "svg") if look else "",
            }
        )
    return rows


def _wished(job: Job, one: Loaded) -> list[Shown]:
    """What she has said to leave, in the order of the job file; of each, what was there, or that it meets nothing."""
    rows = []
    for left in one.item.leave:
        found = [
            f
            for f in one.findings
            if f.code == "left-as-wished"
            and left.code in f.fix
            and f.places
            and f.places[0].xy is not None
            and math.dist(f.places[0].xy, left.at) <= NEAR
        ]
        told = sentence(in_words(found[0], job.unit).problem) if found else f"{left.code}: there is none now."
        at = f"{left.at[0]:.2f},{left.at[1]:.2f}"
        rows.append({"told": told, "code": left.code, "at": at, "met": bool(found)})
    return rows


def _kind(kind: FindingGroup, unit: str) -> Shown:
    one = in_words(kind.one, unit)
    found = list(dict.fromkeys(_place(place, unit) for place in kind.places))
    places = [{"told": told, "at": at} for told, at in found[:_MOST_PLACES] if told]
    if len(found) > _MOST_PLACES:
        places.append({"told": f"and {len(found) - _MOST_PLACES} more", "at": ""})
    return {
        "first": kind.first,
        "severity": one.severity.value,
        "count": kind.count,
        "problem": sentence(one.problem),
        "fix": on_the_page(one.fix.replace(_OPTION, ", below")),
        "places": places,
    }


def _place(place: Place, unit: str) -> tuple[str, str]:
    """Where something is, in words and in mm; below a drawing's name its file need not be said again."""
    if place.xy is None:
        return str(replace(place, file=None)).strip("()"), ""
    told = place_in(Place(xy=place.xy), unit)
    return str(told).strip("()"), f"{place.xy[0]:.2f},{place.xy[1]:.2f}"
