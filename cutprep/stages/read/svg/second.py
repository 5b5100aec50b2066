"""A second opinion on the real size, the figure that spoils most card when it is wrong.

The size of the page is worked out in `svg_viewport`. For the units that svgelements 1.9.6 reads as CSS
Values and Units defines them (mm, cm, in, pt, pc; it takes Q for 5.8 percent too much, and capitals for px)
it is asked as well, and a maker is told when the two disagree.
"""

from __future__ import annotations

import re

import svgelements

_SURE = re.compile(r"\s*[+-]?(?:\d+\.?\d*|\.\d+)(?:mm|cm|in|pt|pc)\s*")
_PX_PER_INCH = 96.0
_MM_PER_INCH = 25.4
#: Largest share by which the two may differ; they round differently in the seventh digit.
_SHARE = 1e-5  # not a tolerance: what rounding of 96/72 and 25.4/96 leaves


def other_size(text: str | None) -> float | None:
    """Read one side of a page with svgelements, mm; None where its word is not relied on."""
    if text is None or not _SURE.fullmatch(text):
        return None
    value = svgelements.Length(text).value(ppi=_PX_PER_INCH)
    return float(value) * _MM_PER_INCH / _PX_PER_INCH


def disagreement(
    width: str | None, height: str | None, size: tuple[float, float] | None
) -> tuple[str, float, float] | None:
    """Compare a page's size with what svgelements makes of its attributes.

    Parameters
    ----------
    width, height
        As they stand in the file.
    size
        As it was settled, mm.

    Returns
    -------
    tuple of str, float, float
        Which side differs, the settled and the other figure, mm; None when they agree.
    """
    if size is None:
        return None
    for side, text, ours in (("width", width, size[0]), ("height", height, size[1])):
        theirs = other_size(text)
        if theirs is not None and abs(theirs - ours) > _SHARE * max(abs(ours), 1.0):
            return side, ours, theirs
    return None
