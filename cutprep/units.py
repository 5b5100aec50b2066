"""Text to millimetres and back. Nothing else in cutprep knows that inches exist.

A length carries its unit: `3mm`, `2.54 cm`, `1/8in`, `1 1/8 in`, `1-1/8"`, `12pt`. A bare
number is refused unless the caller says which unit it stands for: guessing a unit is how
card is spoilt.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction

from cutprep.errors import CutprepError, JobError, Place

# Exact by definition: 1 in = 25.4 mm (international yard and pound agreement, 1959);
# px and pt, pc, Q are those of CSS Values and Units, section "Absolute Lengths": 96 px = 1 in; old drawing
# programs counted 90 px to the inch (common practice before CSS 2.1, no published source).
MM_PER = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "ft": 304.8,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "px": 25.4 / 96,
    "q": 0.25,
    "px90": 25.4 / 90,
}
_SPOKEN = {'"': "in", "″": "in", "inch": "in", "inches": "in", "millimetre": "mm", "millimeter": "mm"}
_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_LENGTH = re.compile(
    rf"\s*(?:(?P<whole>[+-]?\d+)[\s-]+(?P<part>\d+/\d+)|(?P<fraction>[+-]?\d+/\d+)|(?P<plain>{_NUMBER}))"
    r"\s*(?P<unit>[a-zA-Z]+(?:90)?|\"|″)?\s*"
)
#: Signs that stand for inches: the double prime, curly quotation marks, and two single ones.
_INCH_MARK = re.compile("[″”“]|['’′]{2}")
_LONGEST_TEXT = 64
#: Millimetres in a sentence: `0.30 mm`, `255 x 304 mm`; not a speed.
_IN_MM = re.compile(r"\d+(?:\.\d+)?(?: x \d+(?:\.\d+)?)* mm(?![/\w2])")
#: Areas of card in a sentence: `12 cm2`, `100.8 mm2`.
_IN_AREA = re.compile(r"\b(\d+(?:\.\d+)?) (cm|mm)2\b(?!/)")
#: Positions in a sentence: `at 50.8, 25.4 mm`, `from 0, 5 to 20, 5 mm`.
_POSITION = r"-?\d+(?:\.\d+)?, -?\d+(?:\.\d+)?"
_AT_MM = re.compile(rf"\b(?P<word>at|from) (?P<places>{_POSITION}(?: to {_POSITION})?) mm(?![/\w2])")
_NUMBER_IN = re.compile(r"-?\d+(?:\.\d+)?")
#: Lengths below this, mm, are said in thousandths of an inch: a quarter of an inch.
_THIN = 25.4 / 4
#: A fraction that is off by more says too little, mm.
_OFF = 0.2
_SIXTEENTH = 25.4 / 16
#: Volumes from this on, cm3, are said without a decimal.
_LARGE = 1000


def unit_name(text: str) -> str:
    """Give the house name of a unit.

    Raises
    ------
    JobError
        When the unit is not known.
    """
    unit = text.strip().lower()
    unit = _SPOKEN.get(unit, unit)
    if unit not in MM_PER:
        raise JobError(f"the unit '{text}' is not known", fix=f"Use one of: {', '.join(MM_PER)}.")
    return unit


def length(text: str, *, bare: str | None = None) -> float:
    """Read one length.

    Parameters
    ----------
    text
        For instance `3mm`, `1/8in`, `1 1/8 in`, `1-1/8"`.
    bare
        Unit of a number without one; None refuses it.

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    JobError
        When the text is no length, or has no unit and needs one.
    """
    text = _typed_plainly(text) if len(text) <= _LONGEST_TEXT else text
    match = _LENGTH.fullmatch(text) if len(text) <= _LONGEST_TEXT else None
    if match is None:
        raise JobError(
            f"'{text[:_LONGEST_TEXT]}' is not a length",
            fix="Write a number and its unit, for example 3mm, 2.54cm or 1 1/8in.",
        )
    unit = match["unit"] or bare
    if unit is None:
        raise JobError(f"the length '{text}' has no unit", fix=f"Write {text.strip()}mm or {text.strip()}in.")
    try:
        number = _number(match)
    except ZeroDivisionError:
        raise JobError(f"'{text}' divides by zero", fix="Write for example 1/8in.") from None
    return number * MM_PER[unit_name(unit)]


def at_least_0(mm: float, what: str) -> float:
    """A length that is 0 or more, mm; `what` it is stands in the error.

    Raises
    ------
    JobError
        When it is below 0, or no finite number.
    """
    if not (math.isfinite(mm) and mm >= 0):
        raise JobError(f"{what} is {mm:g} mm", fix="Give 0 mm or more.")
    return mm


def in_inches(text: str) -> bool:
    """Whether a text is a length with inches for its unit."""
    match = _LENGTH.fullmatch(_typed_plainly(text)) if len(text) <= _LONGEST_TEXT else None
    unit = (match["unit"] or "").lower() if match is not None else ""
    return _SPOKEN.get(unit, unit) == "in"


def worked_in(texts: Iterable[str], unit: str = "mm") -> str:
    """The maker's unit, or "in" where one of the texts that she typed is a length in inches."""
    return "in" if any(map(in_inches, texts)) else unit


def _typed_plainly(text: str) -> str:
    """Write fractions of one sign as figures, and every way of typing inch marks as `"`: `6½''` is `6 1/2"`."""
    parts = (
        f" {unicodedata.normalize('NFKC', c)}" if unicodedata.decomposition(c).startswith("<fraction>") else c
        for c in text
    )
    return _INCH_MARK.sub('"', "".join(parts).replace("\N{FRACTION SLASH}", "/"))


def _number(match: re.Match[str]) -> float:
    if match["plain"] is not None:
        return float(match["plain"].replace(",", "."))
    if match["fraction"] is not None:
        return float(Fraction(match["fraction"]))
    whole, part = match["whole"], Fraction(match["part"])
    return float(Fraction(whole) - part if whole.startswith("-") else Fraction(whole) + part)


def size(text: str, *, bare: str | None = None) -> tuple[float, float]:
    """Read a width and a height such as `305x305mm`, `12x12in`, `8 1/2in x 11in`.

    Returns
    -------
    tuple of float
        Width and height, mm.

    Raises
    ------
    JobError
        When the text is no size, or a side is not above 0.
    """
    sides = re.split(r"\s*[x×X]\s*", _typed_plainly(text).strip())
    if len(sides) != 2 or not all(sides):
        raise JobError(f"'{text}' is not a size", fix="Write width x height, for example 305x305mm.")
    tail = re.search(r"([a-zA-Z]+|\"|″)\s*$", sides[1])
    width, height = (length(side, bare=tail[1] if tail else bare) for side in sides)
    if not (width > 0 and height > 0):
        raise JobError(f"the size '{text}' is empty", fix="Both sides must be above 0.")
    return width, height


def say_length(mm: float, unit: str = "mm") -> str:
    """Write a length for a person: mm to a tenth, inches as fractions of 1/16.

    The decimal stands beside a fraction that is off by more than 0.2 mm.
    """
    if unit != "in":
        scale = MM_PER[unit_name(unit)]
        digits = 1 if scale <= 1 else 2
        return f"{mm / scale:.{digits}f} {unit}"
    sixteenths = round(mm / 25.4 * 16)
    whole, rest = divmod(abs(sixteenths), 16)
    fraction = Fraction(rest, 16)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(str(fraction))
    text = ("-" if sixteenths < 0 else "") + " ".join(words) + " in"
    if abs(sixteenths * _SIXTEENTH - mm) > _OFF:
        text += f" ({mm / 25.4:.3f} in)"
    return text


def say_typed(mm: float, unit: str = "mm") -> str:
    """Write a length as it can be typed after an option: `9mm`, `0.375in`."""
    return f"{round(mm / MM_PER[unit_name(unit)], 3 if unit == 'mm' else 4):g}{unit}"


def say_thin(mm: float, unit: str = "mm") -> str:
    """Write a thickness or a tolerance for a person: `0.3 mm`, or thousandths of an inch: `0.012 in`."""
    return f"{mm / MM_PER['in']:.3f} in" if unit == "in" else f"{round(mm, 3):g} mm"


def in_unit(text: str, unit: str, *, exact: bool = False) -> str:
    """Turn the millimetres of a sentence into another unit: `255 x 304 mm` into `10 1/16 x 11 15/16 in`.

    Below a quarter of an inch thousandths are written, for there sixteenths would hide what is meant.

    Parameters
    ----------
    text, unit
        The sentence, and the maker's unit.
    exact
        Thousandths are written too where no sixteenth is near: for limits.
    """
    if unit == "mm":
        return text

    def turned(match: re.Match[str]) -> str:
        numbers = [float(n) for n in match[0].removesuffix("mm").split("x")]
        rough = exact and any(abs(n / _SIXTEENTH % 1 - 0.5) < 0.5 - _OFF / _SIXTEENTH for n in numbers)
        if unit == "in" and (rough or 0 < min(numbers) < _THIN):
            return " x ".join(f"{n / MM_PER['in']:.3f}" for n in numbers) + " in"
        return " x ".join(say_length(n, unit).split(f" {unit}")[0] for n in numbers) + f" {unit}"

    def placed(match: re.Match[str]) -> str:
        places = _NUMBER_IN.sub(lambda number: _coordinate(float(number[0]), unit), match["places"])
        return f"{match['word']} {places} {unit}"

    def over(match: re.Match[str]) -> str:
        area = float(match[1]) * (MM_PER[match[2]] / MM_PER["in"]) ** 2
        return f"{area:.{1 if area >= 1 else 3}f} sq in"

    if unit == "in":
        text = _IN_AREA.sub(over, text)
    return _IN_MM.sub(turned, _AT_MM.sub(placed, text))


def _coordinate(mm: float, unit: str) -> str:
    """One coordinate as a drawing has it: decimals, to a fortieth of a millimetre."""
    return f"{mm / MM_PER[unit]:.{3 if MM_PER[unit] > MM_PER['cm'] else 2}f}"


def place_in(place: Place, unit: str) -> Place:
    """The same place with its position in the maker's unit: `at 2.000, 1.000 in`."""
    if place.xy is None or unit == "mm":
        return place
    return replace(place, at=f"{', '.join(_coordinate(v, unit) for v in place.xy)} {unit}")


@contextmanager
def told_in(unit: str, *, exact: bool = False) -> Iterator[None]:
    """Tell errors that pass through with their lengths and places in the maker's unit; `exact` as for `in_unit`."""
    try:
        yield
    except CutprepError as error:
        error.problem, error.fix = (in_unit(text, unit, exact=exact) for text in (error.problem, error.fix))
        error.place = place_in(error.place, unit)
        raise


def say_area(mm2: float, unit: str = "mm") -> str:
    """Write an area of card for a person: square metres, or square feet for inches."""
    return f"{mm2 / MM_PER['ft'] ** 2:.1f} sq ft" if unit == "in" else f"{mm2 / 1e6:.2f} m2"


def say_volume(mm3: float, unit: str = "mm") -> str:
    """Write a volume for a person: cubic centimetres, or cubic inches."""
    if unit == "in":
        return f"{mm3 / MM_PER['in'] ** 3:.1f} cu in"
    volume = mm3 / MM_PER["cm"] ** 3
    return f"{volume:.0f} cm3" if volume >= _LARGE else f"{volume:.1f} cm3"


def say_size(width: float, height: float, unit: str = "mm") -> str:
    """Write a width and a height for a person: `304.8 x 304.8 mm`, `8 1/2 x 11 in`."""
    return say_sides((width, height), unit)


def say_sides(sides: Sequence[float], unit: str = "mm") -> str:
    """Write the sides of a rectangle or a box for a person: `101.3 x 75.9 x 25.3 mm`, `4 x 3 x 1 in`.

    As with one length, decimals stand beside fractions that are off by more than 0.2 mm.
    """
    said = [say_length(side, unit).partition(f" {unit}") for side in sides]
    exact = (
        " x ".join(f"{side / MM_PER['in']:.3f}" for side in sides) if any(tail for *_, tail in said) else ""
    )
    return " x ".join(head for head, *_ in said) + f" {unit}" + (f" ({exact} {unit})" if exact else "")


def say_time(seconds: float) -> str:
    """Write a time for a person: `45 s`, `3 min 05 s`, `1 h 02 min`."""
    if not math.isfinite(seconds):
        return "unknown"
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes, rest = divmod(whole, 60)
    if minutes < 60:
        return f"{minutes} min {rest:02d} s"
    hours, minutes = divmod(minutes, 60)
    return f"{hours} h {minutes:02d} min"


def letters(number: int) -> str:
    """Count in letters, as columns of a table are: A, B ... Z, AA, AB ... for 0, 1 ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def plural(count: int, word: str, many: str = "") -> str:
    """Write a count with its word: `1 part`, `3 parts`; `many` for a word with a plural of its own."""
    return f"{count} {word if count == 1 else many or f'{word}s'}"


def with_article(word: str) -> str:
    """Write a word with its article: `a tray`, `an envelope`."""
    return f"{'an' if word[:1] in set('aeiou') else 'a'} {word}"


def say_distance(mm: float, unit: str = "mm") -> str:
    """Write how far a tool goes, for a person: metres, or feet for one who works in inches."""
    return f"{mm / MM_PER['ft']:.1f} ft" if unit == "in" else f"{mm / MM_PER['m']:.2f} m"
