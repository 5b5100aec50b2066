"""Why a part is not folded: curved or bent scores, vertices where nothing turns."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import Corner, FoldReport, Panel, Verdict
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.work import OutOfWork
from cutprep.stages.fold.net.idle import stem_vertices
from cutprep.stages.fold.net.part import HingedPart
from cutprep.stages.fold.net.vertices import CANNOT

#: One vertex, named twice, mm.
_SAME = 1e-6  # not a tolerance: the same numbers
#: Parts with more panels than this are not folded.
MOST_PANELS = 500

At = Callable[[Sequence[float]], Place]


def unfoldable(part: HingedPart, report: FoldReport, at: At) -> FoldReport | None:
    """Say why a part is not folded, or give None when it can be."""
    panels = report.panels
    bent = [_bent(part, k, panels, at) for k, h in enumerate(part.hinges) if h.kind == "bent"]
    stems = stem_vertices(part)
    rigid = [_rigid(c, at) for c in report.corners if c.word == CANNOT and not _is_one_of(c, stems)]
    many = [_many(len(panels))] if len(panels) > MOST_PANELS else []
    found = tuple(bent + rigid + many)
    told = replace(report, messages=report.messages + found)
    if bent or rigid:
        return replace(told, verdict=Verdict.CANNOT_FOLD)
    return replace(told, verdict=Verdict.NOT_SOLVED) if many else None


def _is_one_of(corner: Corner, vertices: Sequence[Points]) -> bool:
    return any(np.hypot(*(xy - corner.xy)) < _SAME for xy in vertices)


def curved_findings(part: HingedPart, panels: Sequence[Panel], at: At) -> tuple[Finding, ...]:
    """Curved scores: what is folded along their chords is approximate."""
    return tuple(_curved(part, k, panels, at) for k, h in enumerate(part.hinges) if h.kind == "curved")


def _bent(part: HingedPart, k: int, panels: Sequence[Panel], at: At) -> Finding:
    h = part.hinges[k]
    return Finding.of(
        "locked",
        f"the score between panels {panels[h.a].name} and {panels[h.b].name} bends by {h.bow:.1f} mm, "
        "so neither can turn",
        "Draw it straight, or cut one leg of it.",
        (at(h.ends.mean(axis=0)),),
        h.bow,
        0.0,
    )


def _curved(part: HingedPart, k: int, panels: Sequence[Panel], at: At) -> Finding:
    h = part.hinges[k]
    return Finding.of(
        "curved-score",
        f"the curved score between panels {panels[h.a].name} and {panels[h.b].name} makes them bend; "
        "it is folded here along its chord, so sizes near it are approximate",
        "Fold one by hand before you cut the set.",
        (at(h.ends.mean(axis=0)),),
    )


def _rigid(corner: Corner, at: At) -> Finding:
    return Finding.of(
        "rigid-vertex",
        "three scores meet inside the card: no panel can turn there",
        "Cut one of the three lines, or add a fourth score.",
        (at(corner.xy),),
    )


def _many(count: int) -> Finding:
    return Finding.of(
        "not-solved",
        f"the part has {count} panels; it is not folded beyond {MOST_PANELS}",
        "Fold it in portions.",
        measure=float(count),
        limit=float(MOST_PANELS),
        unit="",
    )


def unsolved_finding(fault: OutOfWork, place: Place) -> Finding:
    """A part that took more work than is allowed."""
    return Finding.of(
        "not-solved",
        f"{fault.problem}, so nothing is said about whether the part closes",
        f"Allow more work (fold_work = {10 * fault.limit:.0f} in the job file, --fold-work {10 * fault.limit:.0f} on the command "
        "line), or declare which sides meet (mate), or the fold angles, in the angles file.",
        (place,),
        measure=fault.limit,
        limit=fault.limit,
        unit="",
    )
