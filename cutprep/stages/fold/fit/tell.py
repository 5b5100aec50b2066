"""Fits that the maker declares, and what is said of pieces that fit or don't."""

from __future__ import annotations

import re
from dataclasses import dataclass

from cutprep.errors import JobError, Place
from cutprep.model.findings.entry import Severity
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import FoldReport
from cutprep.stages.fold.fit.pairs import LACK, NONE, Fit, fit, fit_contents
from cutprep.units import length

Size = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Two pieces that belong together.

    Attributes
    ----------
    outer
        The lid, the sleeve, the box: its name.
    inner
        What goes into it or under it: a name, or length, width and height, mm.
    least
        Clearance that is wanted on each side, mm.
    """

    outer: str
    inner: str | Size
    least: float = 0.0


def parse_wanted(text: str) -> Wanted:
    """Understand "2 over 1", "1 in 2" and "40x40x60mm in 1".

    Raises
    ------
    JobError
        When it is none of these.
    """
    said = re.fullmatch(r"\s*(.+?)\s+(over|in)\s+(.+?)\s*", text)
    if said is None:
        raise JobError(
            f"'{text}' does not say what goes where",
            fix="Write for example '2 over 1', '1 in 2' or '40x40x60mm in 1'; parts are numbered as `fold` lists them.",
        )
    one, word, two = said.groups()
    return Wanted(one, two) if word == "over" else Wanted(two, size_of(one) or one)


def size_of(text: str) -> Size | None:
    """Three lengths out of "40x40x60mm"; None when it is something else."""
    sides = [part.strip() for part in text.lower().replace("\u00d7", "x").split("x")]
    unit = next((word for word in ("mm", "cm", "in") if sides[-1].endswith(word)), None)
    if len(sides) != 3 or unit is None:
        return None
    a, b, c = (length(side, bare=unit) for side in sides)
    return a, b, c


def told(
    wanted: Wanted, outer: FoldReport, inner: FoldReport | Size, places: tuple[Place, ...] = ()
) -> Finding:
    """Try a declared fit and tell how it is; a piece of unknown size is told as such.

    Parameters
    ----------
    wanted
        The fit that the job declares.
    outer, inner
        What goes round, and what goes in: a folded part, or a size.
    places
        Where the finding lies.
    """
    try:
        found = fit(outer, inner) if isinstance(inner, FoldReport) else fit_contents(outer, inner)
    except JobError as fault:
        return Finding.of("fit-unknown", f"Whether they fit is not known: {fault.problem}", fault.fix, places)
    return fit_finding(found, places, declared=True, least=wanted.least)


def fit_finding(found: Fit, places: tuple[Place, ...] = (), *, declared: bool, least: float = 0.0) -> Finding:
    """Tell how two pieces fit.

    Parameters
    ----------
    declared
        The maker said that they belong together: what doesn't fit is an error, not a warning.
    least
        Clearance that the maker wants on each side, mm.
    """
    to_do = "to go over" if found.way == "over" else "to take"
    if not found.fits:
        size = " and ".join(f"{-v:.1f} mm {w}" for v, w in _sides(found) if v <= -LACK)
        return Finding.of(
            "fit-too-small",
            f"'{found.outer}' is {size} too small {to_do} '{found.inner}', {_made_of(found)}",
            fix=f"Make '{found.outer}' larger by that and by some 0.5 mm more, so that it slides, or '{found.inner}' smaller.",
            places=places,
            measure=2 * found.clearance,
            severity=Severity.ERROR if declared else Severity.WARNING,
        )
    if max(found.clearance, 0.0) < least - NONE:
        return Finding.of(
            "fit-tight",
            f"'{found.outer}' has {max(found.clearance, 0.0):.2f} mm of room on each side {to_do} '{found.inner}', {_made_of(found)}; {least:g} mm are wanted",
            places=places,
            measure=found.clearance,
            limit=least,
        )
    sides = " and ".join(f"{max(v, 0.0) / 2:.2f} mm on each side {w}" for v, w in _sides(found))
    names = (found.outer, "over", found.inner) if found.way == "over" else (found.inner, "into", found.outer)
    return Finding.of(
        "fit",
        f"'{names[0]}' goes {names[1]} '{names[2]}' with {sides}{_height(found)}, {_made_of(found)}",
        places=places,
        measure=found.clearance,
    )


def _sides(found: Fit) -> tuple[tuple[float, str], ...]:
    if abs(found.along - found.across) < NONE:
        return ((found.along, "all round"),)
    return ((found.along, "along its length"), (found.across, "along its width"))


def _made_of(found: Fit) -> str:
    """Card and layers that the figures hold for."""
    text = f"in card of {found.caliper:g} mm" if found.caliper else "in card of no thickness"
    if found.caliper and found.layers:
        count = "a layer" if found.layers == 1 else f"{found.layers} layers"
        text += f" with {count} glued inside"
    return text + (" (one of them is movable: measured as it stands square)" if found.example else "")


def _height(found: Fit) -> str:
    if found.above >= -NONE:
        return ""
    if found.way == "over":
        return f", and leaves {-found.above:.1f} mm of it uncovered"
    return f", and stands out by {-found.above:.1f} mm"
