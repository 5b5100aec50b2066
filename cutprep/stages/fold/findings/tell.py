"""What the maker is told about a folded part: findings with figure, limit and way out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import FoldReport, Hinge, Mate, Panel, Verdict

At = Callable[[Sequence[float]], Place]


@dataclass(frozen=True, slots=True)
class SeamLimits:
    """What counts as closed, mm."""

    seam: float
    play: float


def name_of(panels: Sequence[Panel], k: int) -> str:
    """How a panel is called."""
    return f"panel {panels[k].name}"


def gap_findings(
    mates: Sequence[Mate], gap: float, limits: SeamLimits, panels: Sequence[Panel], at: At
) -> list[Finding]:
    """Say whether the seams close, and where the worst ones are.

    Parameters
    ----------
    mates, gap
        Sides that meet, and the largest distance between any two of them, mm.
    limits
        What counts as closed.
    panels
        All of the part.
    at
        Gives the place of a point of the drawing.
    """
    if gap <= limits.seam or not (mates or gap > limits.play):
        return []
    if not mates:
        return [
            Finding.of(
                "does-not-close",
                f"the part does not close: at least {gap:.2f} mm are missing somewhere",
                places=(at(panels[0].inner_point),),
                measure=gap,
            )
        ]
    worst = sorted(mates, key=lambda m: -m.gap)
    shown = [m for m in worst if m.gap > max(limits.seam, 0.5 * worst[0].gap)][:4] or worst[:1]
    names = "; ".join(f"{panels[m.panel_a].name}-{panels[m.panel_b].name} {m.gap:.2f} mm" for m in shown)
    places = tuple(at(side.mean(axis=0)) for m in shown for side in (m.side_a, m.side_b))
    closes = gap <= limits.play
    return [
        Finding.of(
            "closes-with-play" if closes else "does-not-close",
            (
                f"the part closes with up to {gap:.2f} mm play at the seams {names}"
                if closes
                else f"the part does not close: at least {gap:.2f} mm are missing somewhere at the seams {names}"
            ),
            "Make the sides that meet equally long; the findings on sides say which."
            if not closes
            else "Fine for card if the gap may show.",
            places,
            gap,
            limits.seam,
        )
    ]


def side_findings(mates: Sequence[Mate], limit: float, panels: Sequence[Panel], at: At) -> list[Finding]:
    """Say which panel has sides longer or shorter than those they meet, the likeliest culprit first.

    Every uneven seam accuses both its panels; the one accused by most, always in the same sense,
    is taken, its seams are done with, and so on.

    Parameters
    ----------
    mates
        Sides that meet.
    limit
        Difference in length that is let pass, mm.
    panels
        All of the part.
    at
        Gives the place of a point of the drawing.
    """
    uneven = [m for m in mates if abs(m.length_difference) > limit]
    found = []
    while uneven:
        votes: dict[tuple[int, bool], list[Mate]] = {}
        for mate in uneven:
            longer = mate.length_difference > 0
            votes.setdefault((mate.panel_a, longer), []).append(mate)
            votes.setdefault((mate.panel_b, not longer), []).append(mate)
        (panel, longer), mine = max(
            votes.items(), key=lambda v: (len(v[1]), -_total(mates, v[0][0]), -v[0][0])
        )
        off = float(np.median([abs(m.length_difference) for m in mine]))
        others = ", ".join(panels[m.panel_b if m.panel_a == panel else m.panel_a].name for m in mine)
        places = tuple(at((m.side_a if m.panel_a == panel else m.side_b).mean(axis=0)) for m in mine)
        word = "longer" if longer else "shorter"
        sides = f"{len(mine)} sides of" if len(mine) > 1 else "a side of"
        found.append(
            Finding.of(
                "side-length",
                f"{sides} {name_of(panels, panel)} {'are' if len(mine) > 1 else 'is'} {off:.2f} mm {word} than what they meet ({others})",
                f"Make {name_of(panels, panel)} {off:.2f} mm {'smaller' if longer else 'larger'} there, or the others {'larger' if longer else 'smaller'}.",
                places,
                off,
                limit,
            )
        )
        uneven = [m for m in uneven if all(m is not n for n in mine)]
    return found


def _total(mates: Sequence[Mate], panel: int) -> int:
    """How many seams a panel has: of two accused, the one with fewer right seams is the culprit."""
    return sum(panel in (m.panel_a, m.panel_b) for m in mates)


def fold_findings(
    wrong: Sequence[int], hinges: Sequence[Hinge], panels: Sequence[Panel], at: At
) -> list[Finding]:
    """Scores drawn as mountain that have to be valleys, and the other way round.

    Parameters
    ----------
    wrong
        Hinges that fold against their drawing.
    hinges, panels
        All of the part.
    at
        Gives the place of a point of the drawing.
    """
    found = []
    for k in wrong:
        hinge = hinges[k]
        drawn, needed = ("mountain", "valley") if hinge.fold < 0 else ("valley", "mountain")
        found.append(
            Finding.of(
                "fold-direction",
                f"the score between {name_of(panels, hinge.a)} and {panels[hinge.b].name} is drawn as {drawn}, "
                f"but the part closes with a {needed} there",
                f"Draw it as {needed}, or declare how the part is to fold.",
                (at(hinge.ends.mean(axis=0)),),
            )
        )
    return found


def extra_wall_findings(report: FoldReport, extra: Sequence[int], at: At) -> list[Finding]:
    """Walls of a tube that lie on other walls: one too many, unless it is meant double."""
    panels = report.panels
    target = {f.panel: f.target for f in report.flaps}
    found = []
    for k in extra:
        on = target.get(k)
        found.append(
            Finding.of(
                "extra-wall",
                f"{name_of(panels, k)} is a wall too many: the tube is closed without it, and it lies on "
                f"{name_of(panels, on) if on is not None else 'another wall'}",
                "Take it away or make it a glue flap; if a double wall is meant, all is well.",
                (at(panels[k].inner_point),),
            )
        )
    return found


def loose_findings(report: FoldReport, loose: Sequence[int], at: At) -> list[Finding]:
    """Scores that the finished part does not hold; a movable part has no size of its own."""
    if not loose or not report.closes:
        return []
    panels, hinges = report.panels, report.hinges
    names = ", ".join(f"{panels[hinges[k].a].name}-{panels[hinges[k].b].name}" for k in loose[:6])
    places = tuple(at(hinges[k].ends.mean(axis=0)) for k in loose[:6])
    if report.verdict is Verdict.MOVABLE:
        return [
            Finding.of(
                "movable",
                f"the part is movable: {len(loose)} scores ({names}) can turn while its seams stay together, "
                "so its size isn't fixed by its folds; the sizes told are those of its regular position",
                "Fine for a sleeve or a band; else add an end panel or a flap that holds it in shape.",
                places,
            )
        ]
    return [
        Finding.of(
            "not-held",
            f"the finished part stays movable at {len(loose)} score{'s' * (len(loose) > 1)} ({names})",
            "Fine for a sleeve or a lid; else add an end panel or a flap that holds it square.",
            places,
        )
    ]
