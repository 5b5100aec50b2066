"""What the reader has to say: collected while reading, one finding for each kind of remark."""

from __future__ import annotations

from cutprep.errors import Place
from cutprep.model.finding import Finding, Findings, Severity

#: Places named in one finding; the rest are counted.
_MOST_PLACES = 50
#: Different findings of one kind, such as a fault in each of many paths.
_MOST_ALIKE = 100

#: Code: (severity, sentence for one or many, what to do). `{n}` is the count, `{s}` the plural's s, `{is_are}`
#: the verb.
_TEXTS: dict[str, tuple[Severity, str, str]] = {
    "text-left-out": (
        Severity.WARNING,
        "{n} text{s} {was_were} left out: letters are no lines",
        "Turn text into outlines if it is to be worked.",
    ),
    "image-left-out": (
        Severity.WARNING,
        "{n} embedded picture{s} {was_were} left out: a picture has no lines",
        "Trace the picture into lines if it is to be worked.",
    ),
    "foreign-left-out": (Severity.NOTE, "{n} block{s} of foreign content {was_were} left out", ""),
    "hidden-left-out": (
        Severity.NOTE,
        "{n} hidden line{s} {was_were} left out",
        "Show the layer or element before saving if it is to be worked.",
    ),
    "unpainted-left-out": (
        Severity.NOTE,
        "{n} shape{s} without stroke and fill {was_were} left out: nothing of them shows",
        "Give them a stroke if they are to be worked.",
    ),
    "point-left-out": (Severity.NOTE, "{n} line{s} of no length {was_were} left out", ""),
    "far-left-out": (
        Severity.WARNING,
        "{n} shape{s} {was_were} left out: a coordinate lies beyond every mat",
        "Delete the stray shape, or check the scale of the drawing.",
    ),
    "flat-left-out": (
        Severity.WARNING,
        "{n} element{s} {was_were} left out: the transform lays {it_them} flat",
        "Check the transform.",
    ),
    "marker-left-out": (Severity.NOTE, "markers on {n} line{s} {was_were} left out", ""),
    "clip-applied": (
        Severity.NOTE,
        "{n} line{s} {was_were} cut back to what its clip shows",
        "Release the clip before saving if the whole line is wanted.",
    ),
    "clip-left-out": (
        Severity.NOTE,
        "{n} line{s} {was_were} left out: the clip shows nothing of {it_them}",
        "Release the clip before saving if the line is wanted.",
    ),
    "clip-ignored": (
        Severity.WARNING,
        "the clip of {n} element{s} could not be applied; {it_they} {is_are} read whole",
        "Check that nothing is cut that should not show.",
    ),
    "mask-ignored": (
        Severity.WARNING,
        "the mask of {n} element{s} was not applied; {it_they} {is_are} read whole",
        "Release the mask, and delete what should not be worked.",
    ),
    "use-left-out": (
        Severity.WARNING,
        "{n} reference{s} (use) {was_were} left out: {it_they} {lead_leads} nowhere",
        "Replace the clone by a copy.",
    ),
    "use-cycle": (
        Severity.WARNING,
        "{n} reference{s} (use) {was_were} left out: {it_they} {contain_contains} {itself_themselves}",
        "Replace the clone by a copy.",
    ),
    "outside-left-out": (
        Severity.WARNING,
        "{n} reference{s} to another file {was_were} left out; other files are never opened",
        "Put the content into this file.",
    ),
    "empty-viewport": (
        Severity.WARNING,
        "{n} element{s} {was_were} left out: the size or viewBox is empty",
        "Give it a width and a height.",
    ),
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
        self, code: str, problem: str, *, fix: str = "", place: Place, severity: Severity = Severity.WARNING
    ) -> None:
        """Make one remark of its own."""
        seen = self._alike[code] = self._alike.get(code, 0) + 1
        if seen > _MOST_ALIKE:
            return
        if seen == _MOST_ALIKE:
            problem = f"{problem}; further ones like this are not listed"
        places = (place.within(Place(file=self.file)),)
        self._single.append(Finding(code=code, severity=severity, problem=problem, fix=fix, places=places))

    def has(self, code: str) -> bool:
        """Whether a kind was counted."""
        return code in self._counted

    def findings(self) -> Findings:
        """Everything said, single remarks first."""
        return (*self._single, *(_finding(code, *found) for code, found in self._counted.items()))


def _finding(code: str, number: int, places: list[Place]) -> Finding:
    severity, text, fix = _TEXTS[code]
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
    return Finding(
        code=code,
        severity=severity,
        problem=text.format(**words),
        fix=fix,
        places=tuple(places),
        measure=float(number),
        unit="",
    )
