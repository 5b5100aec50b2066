"""What the catalogue says of one code: how bad it is, what it means, what to do, and whether it can be mended."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Severity(Enum):
    """How bad it is: an error stops the job, a warning asks for a look, a note tells."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Mend(Enum):
    """Whether `mend` can cure it: by itself, only when asked, or not at all."""

    SAFE = "safe"
    ASK = "ask"
    NONE = "none"


ERROR = (Severity.ERROR,)
WARNING = (Severity.WARNING,)
NOTE = (Severity.NOTE,)
ERROR_OR_WARNING = (Severity.ERROR, Severity.WARNING)
WARNING_OR_NOTE = (Severity.WARNING, Severity.NOTE)


@dataclass(frozen=True, slots=True)
class Entry:
    """One code of the catalogue.

    Attributes
    ----------
    code
        Named after the fault; it never changes its meaning.
    severities
        The severities it may have, the usual one first.
    meaning
        One sentence: what is there.
    advice
        What to do about it; empty where nothing is to be done.
    mends
        Whether mending can cure it, the usual answer first.
    rooms
        The rooms that say it.
    """

    code: str
    severities: tuple[Severity, ...]
    meaning: str
    advice: str
    mends: tuple[Mend, ...] = (Mend.NONE,)
    rooms: tuple[str, ...] = ()
