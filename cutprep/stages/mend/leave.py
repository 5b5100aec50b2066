"""Changes that the maker does not want: each is named by its code and a place, and left as drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.lines import Flags, Points
from cutprep.stages.mend.change import told
from cutprep.stages.mend.mending import Left

#: A place that is named within this of a change is that change's, mm: places are told to a hundredth.
NEAR = 0.1


class Leaving:
    """What is to be left in one drawing, and which of it was met.

    Parameters
    ----------
    left
        What the maker does not want.
    """

    def __init__(self, left: Sequence[Left] = ()) -> None:
        self._left = tuple(left)
        self._met: set[Left] = set()

    def named(self, codes: Iterable[str], spots: Points) -> Flags:
        """Say which changes are to be left.

        Parameters
        ----------
        codes
            The codes that they may be told under.
        spots
            (k, 2) mm: the first place of each.

        Returns
        -------
        Flags
            (k,).
        """
        wanted = set(codes)
        found = np.zeros(len(spots), bool)
        for one in self._left if len(spots) else ():
            if one.code in wanted:
                near = np.hypot(*(np.asarray(spots) - one.at).T) <= NEAR
                if near.any():
                    self._met.add(one)
                found |= near
        return found

    def unmet(self) -> Findings:
        """Tell of what was to be left where nothing of the kind is mended."""
        return tuple(
            Finding.of(
                "nothing-to-leave",
                f"'{one.code}' is to be left at {one.at[0]:.2f}, {one.at[1]:.2f} mm, but nothing of the kind would be mended there.",
                places=(Place(xy=one.at),),
            )
            for one in self._left
            if one not in self._met
        )


#: Every change is wanted.
NO_CHANGE = Leaving()


def left_alone(rows: Iterable[int], say: Callable[[int], Finding]) -> Findings:
    """Tell of changes that were left: what was there, and that it stays."""
    return tuple(as_left(say(row)) for row in rows)


def as_left(change: Finding) -> Finding:
    """Tell of a change that it was not made."""
    return told(
        "left-as-wished",
        change.problem,
        f"It stays as drawn, as you said ({change.code}).",
        change.places,
        change.measure,
        change.limit,
        unit=change.unit,
    )


def told_once(found: Iterable[Finding]) -> list[Finding]:
    """Drop what was told again: a change that is left is met in each round."""
    kept: list[Finding] = []
    seen: set[tuple[str, tuple[float, float] | None]] = set()
    for finding in found:
        key = finding.fix, finding.places[0].xy if finding.places else None
        if finding.code != "left-as-wished" or key not in seen:
            kept.append(finding)
        seen.add(key)
    return kept
