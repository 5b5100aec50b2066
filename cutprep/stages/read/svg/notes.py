"""What the reader has to say: collected while reading, one finding for each kind of remark."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding, Findings, Severity

#: Places named in one finding; the rest are counted.
_MOST_PLACES = 50
#: Different findings of one kind, such as a fault in each of many paths.
_MOST_ALIKE = 100

#: Code: sentence for one or many. `{n}` is the count, `{s}` the plural's s, `{is_are}` the verb.
COUNTED: dict[str, str] = {
    "text-left-out": "{n} text{s} {was_were} left out: letters are no lines",
    "image-left-out": "{n} embedded picture{s} {was_were} left out: a picture has no lines",
    "foreign-left-out": "{n} block{s} of foreign content {was_were} left out",
    "hidden-left-out": "{n} hidden line{s} {was_were} left out",
    "unpainted-left-out": "{n} shape{s} without stroke and fill {was_were} left out: nothing of them shows",
    "point-left-out": "{n} line{s} of no length {was_were} left out",
    "far-left-out": "{n} shape{s} {was_were} left out: a coordinate lies beyond every mat",
    "flat-left-out": "{n} element{s} {was_were} left out: the transform lays {it_them} flat",
    "marker-left-out": "markers on {n} line{s} {was_were} left out",
    "clip-applied": "{n} line{s} {was_were} cut back to what its clip shows",
    "clip-left-out": "{n} line{s} {was_were} left out: the clip shows nothing of {it_them}",
    "clip-ignored": "the clip of {n} element{s} could not be applied; {it_they} {is_are} read whole",
    "mask-ignored": "the mask of {n} element{s} was not applied; {it_they} {is_are} read whole",
    "use-left-out": "{n} reference{s} (use) {was_were} left out: {it_they} {lead_leads} nowhere",
    "use-cycle": "{n} reference{s} (use) {was_were} left out: {it_they} {contain_contains} {itself_themselves}",
    "outside-left-out": "{n} reference{s} to another file {was_were} left out; other files are never opened",
    "empty-viewport": "{n} element{s} {was_were} left out: the size or viewBox is empty",
}


class Notes:
    """Collects remarks.

    Parameters
    ----------
    file
        Name of the file, for places.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self._counted: dict[str, tuple[int, list[Place]]] = {}
        self._single: list[Finding] = []
        self._alike: dict[str, int] = {}

    def count(self, code: str, place: Place, by: int = 1) -> None:
        """Count one more case of a known kind."""
        number, places = self._counted.get(code, (0, []))
        if len(places) < _MOST_PLACES:
            places.append(place.within(Place(file=self.file)))
        self._counted[code] = (number + by, places)

    def say(
        self,
        code: str,
        problem: str,
        *,
        fix: str | None = None,
        place: Place,
        severity: Severity | None = None,
    ) -> None:
        """Make one remark of its own; the catalogue's advice and usual severity unless given.

        Parameters
        ----------
        code
            Of the catalogue.
        problem
            What is wrong, as a sentence.
        fix
            What to do; None for the catalogue's advice.
        place
            Where; the file is added.
        severity
            None for the catalogue's.
        """
        seen = self._alike[code] = self._alike.get(code, 0) + 1
        if seen > _MOST_ALIKE:
            return
        if seen == _MOST_ALIKE:
            problem = f"{problem}; further ones like this are not listed"
        places = (place.within(Place(file=self.file)),)
        self._single.append(Finding.of(code=code, problem=problem, fix=fix, places=places, severity=severity))

    def has(self, code: str) -> bool:
        """Whether a kind was counted."""
        return code in self._counted

    def findings(self) -> Findings:
        """Everything said, single remarks first."""
        return (*self._single, *(counted(code, *found) for code, found in self._counted.items()))


def counted(code: str, number: int, places: Sequence[Place]) -> Finding:
    """Say how many of a kind there were.

    Parameters
    ----------
    code
        Of `COUNTED`.
    number, places
        How many, and where some of them are.
    """
    many = number != 1
    words = {
        "n": number,
        "s": "s" if many else "",
        "was_were": "were" if many else "was",
        "is_are": "are" if many else "is",
        "it_them": "them" if many else "it",
        "it_they": "they" if many else "it",
        "lead_leads": "lead" if many else "leads",
        "contain_contains": "contain" if many else "contains",
        "itself_themselves": "themselves" if many else "itself",
    }
    return Finding.of(
        code=code,
        problem=COUNTED[code].format(**words),
        places=tuple(places),
        measure=float(number),
        unit="",
    )
