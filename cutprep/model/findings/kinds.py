"""Findings by kind: one entry for a code on a layer, however often it was found."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding, Findings, kind_of, ranked, sentence


@dataclass(frozen=True, slots=True)
class FindingGroup:
    """Findings of one code on one layer, with one way out.

    Attributes
    ----------
    first
        Number of the first of them, as in the pictures; the others follow it.
    findings
        One or more.
    """

    first: int
    findings: Findings

    @property
    def one(self) -> Finding:
        """The first of them, which stands for all."""
        return self.findings[0]

    @property
    def numbers(self) -> str:
        """From which number to which."""
        last = self.first + len(self.findings) - 1
        return str(self.first) if last == self.first else f"{self.first}-{last}"

    @property
    def count(self) -> str:
        """Where and how often, when it is more than once."""
        layer = kind_of(self.one)[1]
        where = f" on layer '{layer}'" if layer else ""
        return f"{where}, {len(self.findings)} times" if len(self.findings) > 1 else ""

    @property
    def problem(self) -> str:
        """What is wrong, as a whole sentence."""
        alike = len({finding.problem for finding in self.findings}) == 1
        return sentence(self.one.problem) if alike else f"the first: {sentence(self.one.problem)}"

    @property
    def places(self) -> tuple[Place, ...]:
        """Every place of one finding, or the first place of each of several."""
        if len(self.findings) == 1:
            return self.one.places
        return tuple(place for finding in self.findings for place in finding.places[:1])


def by_kind(findings: Iterable[Finding], *, every: bool = False) -> Iterator[FindingGroup]:
    """Put findings of a kind together, errors first.

    Parameters
    ----------
    every
        Each one by itself all the same.
    """
    number = 1
    # Where the way out is an option to type, another option is another kind.
    for _, alike in groupby(ranked(findings), key=lambda f: (kind_of(f), f.fix if " --" in f.fix else "")):
        same = tuple(alike)
        for group in [(one,) for one in same] if every else [same]:
            yield FindingGroup(number, group)
            number += len(group)
