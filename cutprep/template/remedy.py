"""What would do instead of dimensions that make no sense together: for one dimension at a time, the nearest value that can be drawn.

The kind is drawn again and again, so no kind has to know it, and what is named can always be drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.template.dimensions import EIGHTH, Dimension
from cutprep.template.kind import KindOfTemplate
from cutprep.units import say_typed

#: Nobody changes the card, or where the pieces stand on the drawing, to make room.
_LEFT_ALONE = frozenset({"caliper", "apart", "play"})
#: Values tried on the way to a limit, and the steps in which a length is told, mm.
_TRIES, _STEP = 6, 0.5
#: So many are named, the smallest changes first.
_MOST = 2


def draw_or_advise(kind: KindOfTemplate, given: Mapping[str, float | str], unit: str = "mm") -> Drawing:
    """Draw a template; where its dimensions make no sense together, the fault says what would do.

    Parameters
    ----------
    kind, given
        The template, and its dimensions as `KindOfTemplate.from_values` takes them: mm, counts, words and texts.
    unit
        In which the maker works: in inches ("in") what would do is in eighths.

    Raises
    ------
    JobError
        Naming what is wrong, and values that can be drawn.
    """
    kind.values(**given)
    try:
        return kind.from_values(**given)
    except JobError as fault:
        fix = " ".join(filter(None, (fault.fix, _what_would_do(kind, given, unit))))
        raise JobError(fault.problem, fix=fix) from None


def _what_would_do(kind: KindOfTemplate, given: Mapping[str, float | str], unit: str) -> str:
    """A sentence with values that can be drawn, each in place of its own; empty where no single one helps."""
    step = EIGHTH if unit == "in" else _STEP
    found = []
    own = {d.name for d in kind.dimensions}
    for d in (one for one in kind.all_dimensions if one.name in own or one.name in given):
        value = given.get(d.name, d.default)
        if d.choices or d.text or d.name in _LEFT_ALONE or isinstance(value, str):
            continue
        steps = 1.0 if d.count else step
        near = (_nearest(kind, given, d, float(value), limit, steps) for limit in (d.least, d.most))
        found += [(abs(math.log(one / value)) if one and value else math.inf, d, one) for one in near if one]
    best = sorted(found, key=lambda row: row[0])[:_MOST]
    said = (
        f"{d.name}={say_typed(one, 'in') if unit == 'in' and d.plain else d.say(one)}" for _, d, one in best
    )
    return f"For example {' or '.join(said)}." if best else ""


def _nearest(
    kind: KindOfTemplate,
    given: Mapping[str, float | str],
    d: Dimension,
    value: float,
    limit: float,
    step: float,
) -> float | None:
    """The value nearest to what is given, towards a limit, that can be drawn, a whole number of steps; None where none is."""
    refused = value
    for tried in _on_the_way(value, limit, step):
        if not _can_be(kind, given, d.name, tried):
            refused = tried
            continue
        fine = tried
        while abs(fine - refused) > step:
            middle = round((fine + refused) / 2 / step) * step
            if middle in (fine, refused):
                break
            if _can_be(kind, given, d.name, middle):
                fine = middle
            else:
                refused = middle
        return fine
    return None


def _on_the_way(value: float, limit: float, step: float) -> Iterator[float]:
    """Values from one to a limit, the first ones close together, each a whole number of steps."""
    for k in range(1, _TRIES + 1):
        share = (k / _TRIES) ** 2
        tried = round((value + (limit - value) * share) / step) * step
        yield min(max(tried, min(value, limit)), max(value, limit))


def _can_be(kind: KindOfTemplate, given: Mapping[str, float | str], name: str, value: float) -> bool:
    try:
        kind.from_values(**{**given, name: value})
    except JobError:
        return False
    return True
