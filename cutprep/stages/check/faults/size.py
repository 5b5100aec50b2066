"""Sizes: off the page, too large, or not what was meant."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.model.findings.finding import Finding, Severity
from cutprep.model.findings.places import MOST_PLACES, place_of
from cutprep.stages.check.survey import Survey
from cutprep.units import MM_PER

Size = tuple[float, float]

#: Units that are taken for each other, mm. 96 px and 72 pt are one inch (CSS Values and Units, "Absolute
#: Lengths"), an inch is 25.4 mm; old drawing programs counted 90 px to the inch (common practice, no published
#: source).
_MM, _CM, _INCH, _POINT, _PIXEL, _OLD_PIXEL = (
    ("millimetres", 1.0),
    ("centimetres", 10.0),
    ("inches", 25.4),
    ("points", 25.4 / 72),
    ("pixels of 1/96 in", 25.4 / 96),
    ("pixels of 1/90 in, as old drawing programs have them,", 25.4 / 90),
)
_PAIRS = (
    *((_MM, _INCH), (_MM, _PIXEL), (_MM, _POINT), (_MM, _CM), (_POINT, _PIXEL), (_PIXEL, _OLD_PIXEL)),
    *((_PIXEL, _INCH), (_PIXEL, _CM)),
)
#: Sheets as they are sold, mm: ISO 216 A0 to A6, US letter, legal and tabloid, craft squares.
SHEETS = {
    "A0": (841, 1189),
    "A1": (594, 841),
    "A2": (420, 594),
    "A3": (297, 420),
    "A4": (210, 297),
    "A5": (148, 210),
    "A6": (105, 148),
    "US letter": (215.9, 279.4),
    "US legal": (215.9, 355.6),
    "US tabloid": (279.4, 431.8),
    "12 in square": (304.8, 304.8),
    "8 in square": (203.2, 203.2),
    "6 in square": (152.4, 152.4),
}
STANDARD = tuple(SHEETS.values())
#: Shares by which a ratio may be off a slip, and a side off what the maker expects, or by this many mm.
_LIKE, _EXPECTED, _EXPECTED_MM = 0.01, 0.005, 0.5  # not a tolerance: shares
#: A page is a sheet in another unit when it is off it by no more than rounding: half a pixel of a small page.
_SHEET = 0.003  # not a tolerance: a share
#: A template smaller or larger than this in both directions is no template, nor one that is longer than the
#: longest mat; and most are about this large. Common practice, no published source.
_SMALLEST, _LARGEST, _LONGEST, _USUAL = 8.0, 1500.0, 2500.0, 200.0


@dataclass(frozen=True, slots=True)
class Slip:
    """A unit that is taken for another one.

    Attributes
    ----------
    words
        Which for which.
    taken_for
        Length of the wrong one, mm.
    ratio
        How many times too large everything comes out.
    """

    words: str
    taken_for: float
    ratio: float


NO_SLIP = Slip("", 1.0, 1.0)
SLIPS = tuple(
    Slip(f"{true} were taken for {wrong.partition(',')[0]}", wrong_mm, wrong_mm / true_mm)
    for pair in _PAIRS
    for (true, true_mm), (wrong, wrong_mm) in (pair, pair[::-1])
)


def find_sizes(
    survey: Survey, area: Size | None, sheet: Size | None, expect: Size | None
) -> Iterator[Finding]:
    """Find what is wrong with the size of a drawing.

    Parameters
    ----------
    survey
        The drawing.
    area
        Width and height that the machine reaches, mm; None when no machine is known.
    sheet
        Width and height of the card, mm; None when unknown.
    expect
        Size that the maker expects, mm; None when she says none.
    """
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
    yield Finding.of(
        code="off-page",
        problem=f"{count} up to {measure:.2f} mm beyond the page of {page[0]:.1f} x {page[1]:.1f} mm: "
        "what lies there may be scrap, and it would be cut.",
        fix="Move it onto the page, make the page larger, or delete it.",
        places=tuple(places),
        measure=measure,
        limit=0.0,
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
    slip, fix = None, ""
    if abs(ratios[0] - ratios[1]) <= _LIKE * ratios[0]:
        ratio = float(np.sqrt(ratios[0] * ratios[1]))
        slip = next((one for one in _likely(survey) if abs(ratio / one.ratio - 1) <= _LIKE), None)
        text += f"it is {ratio:.4g} times as large"
        text += f", as when {_mended(slip, size)}." if slip else "."
    else:
        ratio = ratios[0]
        text += f"{ratios[0]:.4g} times as wide and {ratios[1]:.4g} times as high; nothing made from it would fit."
        if min(ratios) > 0:
            across, up = (100 / one for one in ratios)
            fix = f"Set its sides right where it was drawn: {across:.4g} % in width, {up:.4g} % in height."
    yield _size(survey, Severity.ERROR, text, fix or _way_out(survey, slip, ratio), ratio)


def _slipped(survey: Survey, size: Size) -> Iterator[Finding]:
    """Find a page, or a drawing, that looks like another size in the wrong unit."""
    page = survey.drawing.page
    sheet, slip = _sheet_of(page, _likely(survey)) if page else ("", NO_SLIP)
    if page is not None and slip is not NO_SLIP:
        text = (
            f"The page of {_say(page)} is {slip.ratio:.4g} times {sheet} ({_say(_over(page, slip))}), as when "
            f"{_mended(slip, size)}; as it is, every part would come out at {_say(size)}."
        )
        yield _size(survey, Severity.WARNING, text, _way_out(survey, slip, slip.ratio), slip.ratio)
    elif max(size) < _SMALLEST or min(size) > _LARGEST or max(size) > _LONGEST:
        small = max(size) < _SMALLEST
        middle = max(float(np.hypot(*size)) / np.sqrt(2.0), 0.1)  # a dot has no size to go by
        slip = min(_likely(survey), key=lambda one: abs(np.log(middle / one.ratio / _USUAL)))
        text = (
            f"The drawing measures {_say(size)}, too {'small' if small else 'large'} for a template, as when "
            f"{_mended(slip, size)}."
        )
        severity = Severity.WARNING if small else Severity.ERROR
        way = _way_out(survey, slip, slip.ratio)
        yield _size(survey, severity, text, way, max(size), unit="mm")


def _likely(survey: Survey) -> tuple[Slip, ...]:
    """Slips to the unit that the file was read in; all of them when it is no usual one."""
    unit = survey.drawing.unit_mm
    fitting = tuple(one for one in SLIPS if unit is not None and abs(one.taken_for / unit - 1) <= _SHEET)
    return fitting or SLIPS


def _over(size: Size, slip: Slip) -> Size:
    return size[0] / slip.ratio, size[1] / slip.ratio


def _mended(slip: Slip, size: Size) -> str:
    """Name a slip, and the size that the drawing has without it."""
    return f"{slip.words}: without that slip it would measure {_say(_over(size, slip))}"


def _way_out(survey: Survey, slip: Slip | None, ratio: float) -> str:
    """What to do about a size: say the unit where the file names none, else have the drawing set right."""
    drawing = survey.drawing
    right = "if the size is right as it is, state it with --expect."
    share = slip.ratio if slip else ratio
    scale = f"scale it to {100 / share:.4g} %" if share else "draw it wider"  # a line alone has no width
    if drawing.unit_named:
        return f"The file names its unit, which --units can't change: {scale} where it was drawn and save it again; {right}"
    wanted = None if drawing.unit_mm is None or slip is None else drawing.unit_mm / slip.ratio
    unit = next((name for name, mm in MM_PER.items() if wanted and abs(mm / wanted - 1) <= _SHEET), None)
    if unit is not None:
        return f"Say the drawing's unit: --units {unit}; {right}"
    return f"Say the drawing's unit with --units, or {scale} where it was drawn; {right}"


def _sheet_of(page: Size, slips: Sequence[Slip]) -> tuple[str, Slip]:
    """The standard sheet that a page is, and by which slip; of equal fits the page as it is wins."""
    tried = [
        (_misfit(_over(page, slip), sheet), name, slip)
        for slip in (NO_SLIP, *slips)
        for name, sheet in SHEETS.items()
    ]
    misfit, name, slip = min(tried, key=lambda one: one[0])
    return (name, slip) if misfit <= _SHEET else ("", NO_SLIP)


def _misfit(size: Size, sheet: Size) -> float:
    """How far a size is off a sheet, as a share of its sides."""
    (low, high), (a, b) = sorted(size), sheet
    return max(abs(low / a - 1), abs(high / b - 1))


def _size(
    survey: Survey, severity: Severity, problem: str, fix: str, measure: float, unit: str = "ratio"
) -> Finding:
    lines = survey.lines
    first = int(np.flatnonzero(survey.worked)[0])
    return Finding.of(
        code="size",
        problem=problem,
        fix=fix,
        places=(place_of(lines, first),),
        measure=measure,
        limit=1.0 if unit == "ratio" else None,
        unit=unit,
        severity=severity,
    )


def _too_large(survey: Survey, size: Size, room: Size, what: str) -> Iterator[Finding]:
    """Tell when a drawing fits neither way round."""
    slack = survey.tolerance.coincide
    over = [max(a - c, b - d) for a, b in (size, size[::-1]) for c, d in (room,)]
    if min(over) <= slack:
        return
    place = "sheet of the stock" if what == "sheet" else "machine's area"
    first = int(np.flatnonzero(survey.worked)[0])
    yield Finding.of(
        code=f"larger-than-{what}",
        problem=f"The drawing of {_say(size)} is {min(over):.1f} mm too large for the {place} of {_say(room)}: "
        "it can't be cut in one piece.",
        fix="Take a larger " + ("sheet." if what == "sheet" else "machine, or divide the template."),
        places=(place_of(survey.lines, first),),
        measure=min(over),
        limit=0.0,
    )
