"""A finding: something about a drawing or a plan that the maker should know.

Findings are values, not exceptions: an exception means there is no result, a finding stands
beside one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from cutprep.errors import InputError, Place
from cutprep.model.findings.catalogue import entry_of
from cutprep.model.findings.entry import Mend, Severity
from cutprep.units import in_unit, place_in


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault or remark.

    Attributes
    ----------
    code
        Stable name of the fault, such as `doubled-line`.
    severity
        Error, warning or note.
    problem
        One sentence: what is there, with its figure and the limit, and what it would do.
    fix
        One sentence: what to do about it; may be empty for a note.
    places
        Every place concerned.
    measure, limit, unit
        The figure found, the limit it breaks, and their unit.
    mend
        Whether mending can cure it.
    """

    code: str
    severity: Severity
    problem: str
    fix: str = ""
    places: tuple[Place, ...] = ()
    measure: float | None = None
    limit: float | None = None
    unit: str = "mm"
    mend: Mend = Mend.NONE

    def __post_init__(self) -> None:
        entry = entry_of(self.code)
        if self.severity not in entry.severities or self.mend not in entry.mends:
            raise ValueError(
                f"the catalogue allows '{self.code}' no {self.severity.value}, mend {self.mend.value}"
            )

    @classmethod
    def of(
        cls,
        code: str,
        problem: str,
        fix: str | None = None,
        places: tuple[Place, ...] = (),
        measure: float | None = None,
        limit: float | None = None,
        unit: str = "mm",
        *,
        severity: Severity | None = None,
        mend: Mend | None = None,
    ) -> Finding:
        """Make a finding of a code that stands in the catalogue.

        Parameters
        ----------
        fix
            What to do; the catalogue's advice when None.
        severity, mend
            The usual ones of the catalogue when None; else one that the catalogue allows.

        Raises
        ------
        ValueError
            When the catalogue holds no such code, or does not allow the severity or the mend.
        """
        entry = entry_of(code)
        return cls(
            code,
            entry.severities[0] if severity is None else severity,
            problem,
            entry.advice if fix is None else fix,
            places,
            measure,
            limit,
            unit,
            entry.mends[0] if mend is None else mend,
        )


Findings = tuple[Finding, ...]

__all__ = [
    "Finding",
    "Findings",
    "Mend",
    "Severity",
    "Stopped",
    "errors",
    "in_words",
    "kind_of",
    "ranked",
    "sentence",
]


def in_words(finding: Finding, unit: str) -> Finding:
    """A finding whose sentences and places have their lengths in the maker's unit."""
    places = tuple(place_in(place, unit) for place in finding.places)
    return replace(
        finding, problem=in_unit(finding.problem, unit), fix=in_unit(finding.fix, unit), places=places
    )


def errors(findings: Iterable[Finding]) -> Findings:
    """Pick the findings of severity error."""
    return tuple(f for f in findings if f.severity is Severity.ERROR)


def ranked(findings: Iterable[Finding]) -> Findings:
    """Order findings as they are numbered everywhere: errors, warnings, notes; those of a kind together."""
    rank = {severity: number for number, severity in enumerate(Severity)}
    found = tuple(findings)
    first: dict[tuple[str, str | None], int] = {}
    for number, finding in enumerate(found):
        first.setdefault(kind_of(finding), number)
    return tuple(sorted(found, key=lambda f: (rank[f.severity], first[kind_of(f)])))


def kind_of(finding: Finding) -> tuple[str, str | None]:
    """What makes findings ones of a kind: their code, and the layer they are on."""
    return finding.code, finding.places[0].layer if finding.places else None


def sentence(text: str) -> str:
    """Make a whole sentence: a capital first, unless it begins with a name, and one full stop."""
    head, _, tail = text.partition(" ")
    text = f"{head.capitalize()} {tail}".strip() if head.isalpha() and head.islower() else text
    return text if not text or text.endswith((".", "!", "?", ":")) else f"{text}."


class Stopped(InputError):
    """The drawings have errors, and the maker did not say to go on.

    Parameters
    ----------
    findings
        Everything found, notes and warnings included.
    """

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings: Findings = tuple(findings)
        count = len(errors(self.findings))
        super().__init__(
            f"{count} error{'s' * (count != 1)} in the drawings",
            fix="Mend them, or say that the job is to be done despite its findings.",
        )

    def __reduce__(self) -> tuple[object, ...]:
        return (Stopped, (self.findings,))
