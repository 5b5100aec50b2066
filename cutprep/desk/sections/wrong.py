"""What is wrong: every error and warning in the drawings, with a picture, and what was mended."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.desk.sections.store import Shown, Store
from cutprep.job.job import Job
from cutprep.job.loading import Loaded
from cutprep.model.findings.finding import Finding, Severity, errors, in_words, sentence
from cutprep.model.findings.kinds import FindingGroup, by_kind
from cutprep.report.answers import wrong_answer
from cutprep.report.pictures.findings import findings_picture

_MOST_PLACES = 5
#: Advice that names an option of the command line, where the page has a field.
_OPTION = ": --keep cut, score or outline"


def wrong(job: Job, loaded: Sequence[Loaded], store: Store) -> Shown:
    """Show what was found in each drawing."""
    rows = []
    told: list[Finding] = []
    mended = 0
    for one in loaded:
        found = [f for f in one.findings if f.severity is not Severity.NOTE]
        changes = [in_words(f, job.unit) for f in one.mended]
        mended += len(changes)
        told += found
        rows.append(
            {
                "file": one.item.path.name,
                "kinds": [_kind(kind, job.unit) for kind in by_kind(found)],
                "picture": store.keep(
                    "wrong", findings_picture(one.drawing, tuple(found), words=False), "svg"
                )
                if any(f.places for f in found)
                else "",
                "mended": [f"{sentence(f.problem)} {f.fix}".strip() for f in changes],
            }
        )
    bad = errors(told)
    answer = wrong_answer([in_words(f, job.unit) for f in told])
    if mended:
        answer += f"; {mended} {'thing was' if mended == 1 else 'things were'} mended"
    return {
        "state": "needs" if bad and not job.despite_findings else "done",
        "answer": answer,
        "errors": len(bad),
        "mendable": any(f.mend.value != "none" for f in told),
        "drawings": rows,
    }


def _kind(kind: FindingGroup, unit: str) -> Shown:
    one = in_words(kind.one, unit)
    places = [str(place) for place in kind.places[:_MOST_PLACES]]
    more = len(kind.places) - len(places)
    return {
        "first": kind.first,
        "severity": one.severity.value,
        "count": kind.count,
        "problem": sentence(one.problem),
        "fix": one.fix.replace(_OPTION, ", below"),
        "places": places + ([f"and {more} more"] if more > 0 else []),
        "at": [[round(v, 2) for v in place.xy] for place in kind.places if place.xy is not None],
    }
