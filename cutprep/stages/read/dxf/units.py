"""How long one drawing unit is.

Only the file's own header counts: a library that fills in a missing header from its own template
makes a drawing without one a thousand times too large.
"""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.errors import Place
from cutprep.model.findings.finding import Finding
from cutprep.stages.read.dxf.structure import Structure
from cutprep.units import MM_PER, unit_name

_INCH = 25.4
#: US survey units: 1 m = 39.37 in exactly, so 1 US survey foot = 1200/3937 m (NIST Special
#: Publication 811, B.6).
_SURVEY_FOOT = 1000 * 1200 / 3937

#: $INSUNITS of the DXF reference: name and mm. 17 to 20 (gigametres, astronomical units, light
#: years, parsecs) stand for no drawing that fits on a table.
INSUNITS: dict[int, tuple[str, float]] = {
    1: ("inches", _INCH),
    2: ("feet", 12 * _INCH),
    3: ("miles", 5280 * 12 * _INCH),
    4: ("millimetres", 1.0),
    5: ("centimetres", 10.0),
    6: ("metres", 1000.0),
    7: ("kilometres", 1e6),
    8: ("microinches", _INCH * 1e-6),  # not a tolerance: a unit
    9: ("mils", _INCH * 1e-3),  # not a tolerance: a unit
    10: ("yards", 36 * _INCH),
    11: ("angstroms", 1e-7),  # not a tolerance: a unit
    12: ("nanometres", 1e-6),  # not a tolerance: a unit
    13: ("microns", 1e-3),  # not a tolerance: a unit
    14: ("decimetres", 100.0),
    15: ("decametres", 10_000.0),
    16: ("hectometres", 100_000.0),
    21: ("US survey feet", _SURVEY_FOOT),
    22: ("US survey inches", _SURVEY_FOOT / 12),
    23: ("US survey yards", _SURVEY_FOOT * 3),
    24: ("US survey miles", _SURVEY_FOOT * 5280),
}
_WORD = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches", "ft": "feet"}
_STATE_IT = "Measure one known length; if it is wrong, say which unit is meant with --units."


@dataclass(frozen=True, slots=True)
class DrawingUnit:
    """Length of a drawing unit in mm, a sentence on how that was settled, findings, and whether the file states it."""

    mm: float
    note: str
    findings: tuple[Finding, ...] = ()
    stated: bool = False


def find_unit(structure: Structure, units: str | None, file: str) -> DrawingUnit:
    """Settle the length of a drawing unit.

    Parameters
    ----------
    units
        What the maker says about a drawing that names no unit, such as "mm"; the unit that a
        file names itself wins.

    Raises
    ------
    JobError
        When `units` is no unit.
    """
    asked = unit_name(units) if units else None
    number = structure.variable("$INSUNITS", 70)
    stated = INSUNITS.get(int(number)) if number is not None else None
    if stated is not None:
        return _stated(stated, int(number or 0), asked, file)
    why = _why_unitless(structure, number)
    if asked is not None:
        return DrawingUnit(MM_PER[asked], f"{why}; 1 drawing unit = 1 {asked}, as asked for")
    measurement = structure.variable("$MEASUREMENT", 70)
    if measurement is not None and structure.header:
        name, mm = ("inches", _INCH) if int(measurement) == 0 else ("millimetres", 1.0)
        reason = f"its $MEASUREMENT is {int(measurement)}, so it was read as {name}"
    else:
        name, mm = "millimetres", 1.0
        reason = f"it was read as {name}, which is an assumption"
    finding = Finding.of(
        code="unit-assumed",
        problem=f"{why}; {reason}",
        fix=_STATE_IT,
        places=(Place(file=file),),
    )
    return DrawingUnit(mm, f"{why}; {reason}", (finding,))


def _stated(stated: tuple[str, float], number: int, asked: str | None, file: str) -> DrawingUnit:
    name, mm = stated
    note = f"the drawing is in {name} ($INSUNITS = {number}; 1 unit = {mm:g} mm)"
    if asked is None or MM_PER[asked] == mm:
        return DrawingUnit(mm, note, stated=True)
    finding = Finding.of(
        code="unit-not-used",
        problem=f"{note}; the unit given, {_WORD.get(asked, asked)}, is for drawings that name none",
        fix="If the file is wrong about its unit, set it right in the program that drew it.",
        places=(Place(file=file),),
    )
    return DrawingUnit(mm, note, (finding,), stated=True)


def _why_unitless(structure: Structure, number: float | None) -> str:
    if structure.header is None:
        return "the drawing has no header, so it names no unit"
    if number is None or int(number) == 0:
        return "the drawing names no unit"
    return f"the drawing's unit is number {int(number)}, which is none of the known ones"
