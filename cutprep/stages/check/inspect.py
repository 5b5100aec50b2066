"""Look a classified drawing over before it spoils card."""

from __future__ import annotations

from collections.abc import Iterator

from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding, Findings, Severity
from cutprep.profile.stock import STRIP
from cutprep.stages.check.faults.copies import find_copies
from cutprep.stages.check.faults.doubled import find_doubled, find_near, near_runs
from cutprep.stages.check.faults.outline import find_gaps, find_open, find_overruns
from cutprep.stages.check.faults.parts import find_all_cut, find_small_parts
from cutprep.stages.check.faults.scores import find_bad_folds
from cutprep.stages.check.faults.shape import closed_cuts, find_crossing, find_sharp, find_tight
from cutprep.stages.check.faults.size import find_sizes
from cutprep.stages.check.faults.slivers import tell_repeats, tell_slivers
from cutprep.stages.check.faults.strips import find_narrow
from cutprep.stages.check.survey import Survey
from cutprep.tolerance import Tolerance

_ORDER = [Severity.ERROR, Severity.WARNING, Severity.NOTE]


def check(
    drawing: Drawing,
    tolerance: Tolerance,
    *,
    strip: float = STRIP,
    blade_offset: float = 0.0,
    area: tuple[float, float] | None = None,
    sheet: tuple[float, float] | None = None,
    expect: tuple[float, float] | None = None,
) -> Findings:
    """Find what is wrong with a drawing.

    Parameters
    ----------
    drawing
        Classified; guides and lines that no rule placed are left alone.
    strip
        Narrowest strip that doesn't tear, mm.
    blade_offset
        Distance of the blade's tip from its axis, mm; 0 when unknown.
    area, sheet
        Width and height of the machine's area and of the stock's sheet, mm.
    expect
        Width and height the maker has in mind, mm.

    Returns
    -------
    Findings
        Errors first, then warnings and notes. The codes are explained in model/findings/catalogue.py.

    Raises
    ------
    DrawingError
        When the lines lie too densely to be compared.
    """
    survey = Survey(drawing, tolerance, strip)
    found = _find(survey, blade_offset, area, sheet, expect)
    return tuple(sorted(found, key=lambda finding: _ORDER.index(finding.severity)))


def _find(
    survey: Survey,
    blade_offset: float,
    area: tuple[float, float] | None,
    sheet: tuple[float, float] | None,
    expect: tuple[float, float] | None,
) -> Iterator[Finding]:
    beside = near_runs(survey)
    rings = closed_cuts(survey)
    yield from find_doubled(survey)
    yield from find_near(survey, beside)
    yield from find_gaps(survey)
    yield from find_open(survey)
    yield from find_overruns(survey)
    yield from find_crossing(survey)
    yield from find_bad_folds(survey)
    yield from find_narrow(survey, [survey.doubled, beside])
    yield from tell_slivers(survey)
    yield from tell_repeats(survey)
    yield from find_sharp(survey, rings)
    yield from find_tight(survey, rings, blade_offset)
    yield from find_sizes(survey, area, sheet, expect)
    yield from find_copies(survey, rings)
    yield from find_all_cut(survey)
    yield from find_small_parts(survey, rings)
