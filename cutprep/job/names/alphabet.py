"""Which letters there are: single strokes for pen or score, or the outlines of a font on the maker's machine."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cutprep.job.names.fonts import open_font
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.lines import Flags, Points
from cutprep.template.letters import letters, missing

#: Strokes of a text, each with the vertices that lie inside a flattened curve, and its width, mm.
Written = tuple[list[tuple[Points, Flags]], float]


@dataclass(frozen=True, slots=True)
class Alphabet:
    """Letters to write with.

    Attributes
    ----------
    name
        For messages.
    told
        What the maker has to be told of it: its licence.
    missing
        Letters of a text that it lacks, each once.
    write
        A text in one line, its capitals of a height, mm: it begins at x = 0 and stands on y = 0.
    filled
        Its strokes are outlines of letters, which are filled where they are printed.
    """

    name: str
    told: Findings
    missing: Callable[[str], str]
    write: Callable[[str, float], Written]
    filled: bool = False


def alphabet_of(font: str | None, sagitta: float) -> Alphabet:
    """The alphabet that a job asks for.

    Parameters
    ----------
    font
        A font's name or file; None for single strokes.
    sagitta
        Largest chord error of curves, mm.

    Raises
    ------
    JobError
        When there is no such font, or what reads fonts is not installed.
    """
    if font is None:
        return Alphabet("the single-stroke alphabet", (), missing, _single)
    opened = open_font(font)
    return Alphabet(
        f"the font {opened.name}",
        (Finding.of("font-licence", opened.licence),),
        opened.missing,
        lambda text, height: opened.write(text, height, sagitta),
        filled=True,
    )


def _single(text: str, height: float) -> Written:
    strokes, width = letters(text, height)
    return [(stroke, np.zeros(len(stroke), bool)) for stroke in strokes], width
