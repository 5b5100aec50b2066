"""Text that goes into G-code without being made here: numbers, comments, a profile's own lines.

A title or a tool's name comes from a file that anybody may have written, and a profile's lines
are sent to a machine with a blade: both are checked, neither is trusted.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from cutprep.errors import ProfileError

#: Small firmwares take 79 characters a line after spaces are dropped; stay well below.
LONGEST_LINE = 70
_LONGEST_COMMENT = 60
#: What a comment may hold. Not: brackets (they end or nest it, NISTIR 6556, 3.3.4), a semicolon or
#: percent sign, and the characters ! ? ~ that some firmwares obey wherever they stand in the stream.
_UNFIT = re.compile(r"[^A-Za-z0-9 .,_+/:=-]+")
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)"
_WORD = re.compile(rf"([A-Z])({_NUMBER})")
#: What a profile's lines may say: modal groups of NISTIR 6556, Table 4, less every word that would take
#: the ground from under the plan (other units, relative positions, another plane or feed mode, shifted
#: origins, tool compensation, cycles) and the end of the program. Other M words are the machine's own.
_MAY_SAY = (
    {"G0", "G1", "G2", "G3", "G80"},
    {"G17"},
    {"G21"},
    {"G40"},
    {"G49"},
    {"G54"},
    {"G61", "G61.1", "G64"},
    {"G90"},
    {"G94"},
    {"G4", "G28", "G30", "G53"},
    {"M0", "M1"},
    {"M3", "M4", "M5"},
    {"M7", "M8", "M9"},
)
_MUST_NOT_SAY = {"M2", "M30", "M60"}


def number(value: float, digits: int) -> str:
    """Write a number with at most so many digits, without exponent, trailing zeros or minus zero."""
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def comment(text: str) -> str:
    """Make a comment of any text: what a machine could take for more than a comment is dropped."""
    plain = " ".join(_UNFIT.sub(" ", text).split())
    return f"({plain[:_LONGEST_COMMENT].rstrip()})"


def checked_lines(
    rows: tuple[str, ...], key: str, *, still: bool = False, force: float | None = None
) -> tuple[str, ...]:
    """Check a profile's own lines against the grammar of G-code.

    Parameters
    ----------
    rows
        Lines of the profile.
    key
        Where they stand in it, for the message.
    still
        They must not move the tool across the sheet (no X, Y).
    force
        Takes the place of `{force}`.

    Returns
    -------
    tuple of str
        The lines in upper case, spaces tidied.

    Raises
    ------
    ProfileError
        Naming the key, the line and what is wrong with it.
    """
    if force is not None:
        rows = tuple(row.replace("{force}", number(force, 3)) for row in rows)
    return tuple(_checked(row, key, still) for row in rows)


def _checked(row: str, key: str, still: bool) -> str:
    def fail(problem: str, fix: str) -> ProfileError:
        return ProfileError(f"{key}: the line '{row[:LONGEST_LINE]}' {problem}", fix=fix)

    if not row.isascii() or not row.isprintable():
        raise fail("holds characters that are not plain ASCII", "Use letters, digits and spaces only.")
    if len(row) > LONGEST_LINE:
        raise fail(f"has {len(row)} characters; {LONGEST_LINE} is the limit", "Split it in two.")
    bare = re.sub(r"\([^()]*\)", "", row)
    packed = re.sub(r"\s+", "", bare).upper()
    words = _WORD.findall(packed)
    if "".join(letter + value for letter, value in words) != packed:
        raise fail("is no G-code", "Write words such as M3 S90, each a letter and a number.")
    _check_words(words, fail_with=fail, still=still)
    remarks = [comment(text) for text in re.findall(r"\(([^()]*)\)", row)]
    if any(remark.upper().replace(" ", "").startswith("(MSG,TOOL") for remark in remarks):
        raise fail("holds the message by which a tool is asked for", "Leave it out: it is written by itself.")
    return " ".join([letter + value for letter, value in words] + remarks)


def _check_words(
    words: list[tuple[str, str]], *, fail_with: Callable[[str, str], ProfileError], still: bool
) -> None:
    letters = [letter for letter, _ in words if letter not in "GM"]
    codes = [f"{letter}{float(value):g}" for letter, value in words if letter in "GM"]
    if len(set(letters)) < len(letters):
        raise fail_with("says a letter twice", "NISTIR 6556, 3.3.5 allows each once a line; split it in two.")
    for code in codes:
        if code in _MUST_NOT_SAY or (code[0] == "G" and not any(code in group for group in _MAY_SAY)):
            raise fail_with(
                f"holds {code}, which could change units, axes or origin, or end the program",
                "Leave it out; cutprep writes the frame of the program itself.",
            )
    if any(sum(code in group for code in codes) > 1 for group in _MAY_SAY):
        raise fail_with("has two words of one modal group", "NISTIR 6556, 3.3.5 allows one; split it in two.")
    if still and set(letters) & set("XYIJR"):
        raise fail_with("moves the tool sideways", "Raising and lowering must leave X and Y alone.")
