"""Sizes: off the page, too large, or not what was meant."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cutprep.model.finding import Finding, Mend, Severity
from cutprep.model.places import MOST_PLACES, place_of
from cutprep.stages.check.survey import Survey

Size = tuple[float, float]

#: Slips of the unit: what a length is multiplied by when it is taken for another unit. 96 px and
#: 72 pt are one inch (CSS Values and Units, "Absolute Lengths"); an inch is 25.4 mm.
SLIPS = (
    (25.4, "inches taken for millimetres"),
    (96 / 25.4, "pixels of 1/96 in taken for millimetres"),
    (72 / 25.4, "points taken for millimetres"),
    (96 / 72, "pixels taken for points"),
    (10.0, "centimetres taken for millimetres"),
)
#: Sheets as they are sold, mm: ISO 216 A0 to A6, US letter, legal and tabloid, craft squares.
STANDARD = (
    *((841, 1189), (594, 841), (420, 594), (297, 420), (210, 297), (148, 210), (105, 148)),
    *((215.9, 279.4), (215.9, 355.6), (279.4, 431.8), (304.8, 304.8), (203.2, 203.2), (152.4, 152.4)),
)
#: Shares by which a side may be off its standard, and off what the maker expects, or by this many mm.
_LIKE, _EXPECTED, _EXPECTED_MM = 0.01, 0.005, 0.5  # not a tolerance: shares
#: A template smaller or larger than this in both directions is no template; common practice, no published source.
_SMALLEST, _LARGEST = 8.0, 1500.0


def find_sizes(
    survey: Survey, area: Size | None, sheet: Size | None, expect: Size | None
) -> Iterator[Finding]:
    """Find what is wrong with the size of a drawing."""
    yield from _off_page(survey)
    rows = np.repeat(survey.worked, survey.lines.counts)
    if not rows.any():
        return
    xy = survey.lines.xy[rows]
    low, high = xy.min(axis=0), xy.max(axis=0)
    size = (float(high[0] - low[0]), float(high[1] - low[1]))
    if expect is not None:
        yield from _unexpected(survey, size, expect)
    else:
        yield from _slipped(survey, size)
    if sheet is not None:
        yield from _too_large(survey, size, sheet, "sheet")
    if area is not None:
        yield from _too_large(survey, size, area, "machine")


def _off_page(survey: Survey) -> Iterator[Finding]:
    """Find lines that reach beyond the page."""
    lines, page = survey.lines, survey.drawing.page
    if page is None or not len(lines):
        return
    out = np.maximum(-lines.xy, lines.xy - np.array(page)).max(axis=1)
    out[~np.repeat(survey.worked, lines.counts)] = 0.0
    farthest = np.maximum.reduceat(out, lines.start[:-1])
    beyond = np.flatnonzero(farthest > survey.tolerance.coincide)
    if not len(beyond):
        return
    beyond = beyond[np.argsort(-farthest[beyond], kind="stable")]
    places = []
    for i in beyond[:MOST_PLACES].tolist():
        row = lines.start[i] + int(np.argmax(out[lines.start[i] : lines.start[i + 1]]))
        places.append(place_of(lines, i, lines.xy[row]))
    count = "1 line reaches" if len(beyond) == 1 else f"{len(beyond)} lines reach"
    measure = float(farthest[beyond[0]])
    yield Finding(
        code="off-page",
        severity=Severity.ERROR,
        problem=f"{count} up to {measure:.2f} mm beyond the page of {page[0]:.1f} x {page[1]:.1f} mm: "
        "what lies there may be scrap, and it would be cut.",
        fix="Move it onto the page, make the page larger, or delete it.",
        places=tuple(places),
        measure=measure,
        limit=0.0,
        mend=Mend.NONE,
    )


def _say(size: Size) -> str:
    return f"{size[0]:.1f} x {size[1]:.1f} mm"


def _unexpected(survey: Survey, size: Size, expect: Size) -> Iterator[Finding]:
    """Compare with the size that the maker has in mind, either way round."""
    turned = (expect[1], expect[0])
    wanted = min((expect, turned), key=lambda one: abs(size[0] - one[0]) + abs(size[1] - one[1]))
    off = [abs(have - want) for have, want in zip(size, wanted, strict=True)]
    if all(d <= max(_EXPECTED_MM, _EXPECTED * want) for d, want in zip(off, wanted, strict=True)):
        return
    ratios = [have / want for have, want in zip(size, wanted, strict=True)]
    text = f"The drawing measures {_say(size)}, not {_say(wanted)} as expected: "
    if abs(ratios[0] - ratios[1]) <= _LIKE * ratios[0]:
        ratio = float(np.sqrt(ratios[0] * ratios[1]))
        text += f"it is {ratio:.4g} times as large{_guess(ratio)}."
    else:
        ratio = ratios[0]
        text += f"{ratios[0]:.4g} times as wide and {ratios[1]:.4g} times as high; nothing made from it would fit."
    yield _size(survey, Severity.ERROR, text, "Scale the drawing, or say its unit with --units.", ratio)


def _guess(ratio: float) -> str:
    """Name the slip of the unit that a ratio looks like, if any."""
    for factor, words in SLIPS:
        for value, name in (
            (1 / factor, words),
            (factor, " taken for ".join(reversed(words.split(" taken for ")))),
        ):
            if abs(ratio / value - 1) <= _LIKE:
                return f", as when {name}"
    return ""


def _slipped(survey: Survey, size: Size) -> Iterator[Finding]:
    """Find a page, or a drawing, that looks like another size in the wrong unit."""
    page = survey.drawing.page
    # The true unit first: of equal fits it wins.
    ratios = [1.0, *(ratio for factor, _ in SLIPS for ratio in (factor, 1 / factor))]
    fits = [_misfit((page[0] / ratio, page[1] / ratio)) for ratio in ratios] if page else [1.0]
    best = int(np.argmin(fits))
    if page is not None and best and fits[best] <= _LIKE:
        ratio = ratios[best]
        text = (
            f"The page of {_say(page)} is {ratio:.4g} times a standard sheet of "
            f"{_say((page[0] / ratio, page[1] / ratio))}{_guess(ratio)}: every part would come out at the wrong size."
        )
        fix = "Say the drawing's unit with --units, or state the size you expect with --expect."
        yield _size(survey, Severity.WARNING, text, fix, ratio)
        return
    if max(size) < _SMALLEST or min(size) > _LARGEST:
        kind = "small" if max(size) < _SMALLEST else "large"
        text = f"The drawing measures {_say(size)}, very {kind} for a template: its unit may have slipped."
        fix = "Say the drawing's unit with --units, or state the size you expect with --expect."
        yield _size(
            survey, Severity.WARNING, text, fix, max(size) if kind == "small" else min(size), unit="mm"
        )


def _misfit(size: Size) -> float:
    """How far a size is off the nearest standard sheet, as a share of its sides."""
    low, high = sorted(size)
    return min(max(abs(low / a - 1), abs(high / b - 1)) for a, b in STANDARD)


def _size(
    survey: Survey, severity: Severity, problem: str, fix: str, measure: float, unit: str = "ratio"
) -> Finding:
    lines = survey.lines
    first = int(np.flatnonzero(survey.worked)[0])
    return Finding(
        code="size",
        severity=severity,
        problem=problem,
        fix=fix,
        places=(place_of(lines, first),),
        measure=measure,
        limit=1.0 if unit == "ratio" else None,
        unit=unit,
        mend=Mend.NONE,
    )


def _too_large(survey: Survey, size: Size, room: Size, what: str) -> Iterator[Finding]:
    """Tell when a drawing fits neither way round."""
    slack = survey.tolerance.coincide
    over = [max(a - c, b - d) for a, b in (size, size[::-1]) for c, d in (room,)]
    if min(over) <= slack:
        return
    place = "sheet of the stock" if what == "sheet" else "machine's area"
    first = int(np.flatnonzero(survey.worked)[0])
    yield Finding(
        code=f"larger-than-{what}",
        severity=Severity.WARNING,
        problem=f"The drawing of {_say(size)} is {min(over):.1f} mm too large for the {place} of {_say(room)}: "
        "it can't be cut in one piece.",
        fix="Take a larger " + ("sheet." if what == "sheet" else "machine, or divide the template."),
        places=(place_of(survey.lines, first),),
        measure=min(over),
        limit=0.0,
        mend=Mend.NONE,
    )
