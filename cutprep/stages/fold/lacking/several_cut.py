"""Several scores on the cut layer: all cuts between what hangs together are scored at once, and folded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutprep.geometry.closeness.proximity import components
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import FoldReport, Verdict
from cutprep.stages.fold.lacking.cut_score import AgainScored, At, Parting, partings, scored
from cutprep.stages.fold.lacking.missing_score import CLOSES, kept
from cutprep.stages.fold.net.hinges import hinges_of, parts_of
from cutprep.stages.fold.net.panels import Net

#: Fewer cuts are told one by one; no more panels are folded for them.
_LEAST, _MOST_PANELS = 2, 120
#: Units of work for it.
_WORK = 1500.0
#: Cuts that are pointed at.
_SHOWN = 8
#: What a drawing has to become, more than it is.
_WHOLE = frozenset({Verdict.CLOSED, Verdict.OPEN_BOX, Verdict.FOLDED_OVER})


def with_several_cut(
    net: Net, parts: Sequence[Sequence[int]], reports: tuple[FoldReport, ...], again: AgainScored, at: At
) -> tuple[FoldReport, ...]:
    """Say that several cuts should be scores, if a drawing in pieces becomes one part that closes; once for all of them.

    Parameters
    ----------
    parts
        Panels of the net in each part that was folded.
    again
        Folds what holds some panels, with some cuts as scores.
    """
    group = {p: k for k, panels in enumerate(parts_of(len(net.rings), hinges_of(net))) for p in panels}
    between = [c for c in partings(net) if group[c.panels[0]] != group[c.panels[1]]]
    if len(between) < _LEAST:
        return reports
    cuts, joined = _largest(between, group)
    mine = [k for k, panels in enumerate(parts) if joined.intersection(panels)]
    if len(cuts) < _LEAST or len(joined) > _MOST_PANELS or not any(reports[k].hinges for k in mine):
        return reports
    before = max(CLOSES.get(reports[k].verdict, 0) for k in mine)
    if before and all(reports[k].ok for k in mine):
        return reports
    better = again(scored(net, np.concatenate([c.pieces for c in cuts])), joined, _WORK)
    found = [r for r in better if len(r.panels) == len(joined) and r.ok and r.verdict in _WHOLE]
    if not found or CLOSES[found[0].verdict] <= before:
        return reports
    told = list(reports)
    for k in mine:
        told[k] = replace(told[k], messages=kept(told[k]))
    told[mine[0]] = replace(told[mine[0]], messages=(*told[mine[0]].messages, _told(cuts, at)))
    return tuple(told)


def _largest(cuts: Sequence[Parting], group: dict[int, int]) -> tuple[list[Parting], frozenset[int]]:
    """The cuts between the groups that make up most panels together, and those panels."""
    ends = np.array([[group[p] for p in c.panels] for c in cuts])
    label = components(max(group.values()) + 1, ends[:, 0], ends[:, 1])
    size = np.bincount(label[list(group.values())])
    best = int(size[label[ends[:, 0]]].argmax())
    chosen = label[ends[best, 0]]
    return (
        [c for c, e in zip(cuts, ends[:, 0], strict=True) if label[e] == chosen],
        frozenset(p for p, k in group.items() if label[k] == chosen),
    )


def _told(cuts: Sequence[Parting], at: At) -> Finding:
    longest = sorted(cuts, key=lambda c: (-round(c.length, 2), c.panels))
    length = float(sum(c.length for c in cuts))
    return Finding.of(
        "cut-for-score",
        f"{len(cuts)} cuts between panels, {length:.1f} mm in all, seem meant as scores: with scores there the drawing is "
        "one part and closes",
        "Put those cuts on the score's layer.",
        tuple(at(c.ends.mean(axis=0)) for c in longest[:_SHOWN]),
        length,
    )
