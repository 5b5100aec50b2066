"""What a sending tells while it goes on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class EventKind(Enum):
    """What has happened; the value is a word for scripts."""

    ASKS = "asks"
    GOES = "goes"
    FINISHED = "finished"
    SENT = "sent"
    STOPPED = "stopped"
    LOST = "lost"


#: Nothing follows for a file after one of these.
ENDS = frozenset({EventKind.FINISHED, EventKind.SENT, EventKind.STOPPED, EventKind.LOST})


@dataclass(frozen=True, slots=True)
class LinkEvent:
    """Something that she should know.

    Attributes
    ----------
    kind
        ASKS waits until `go` or `stop`; FINISHED is what the machine has answered for, SENT what a machine
        without answers was handed; STOPPED and LOST end the sending.
    said
        One or two sentences for her.
    file
        Of which machine file.
    sheet, sheets
        Which sheet this is of how many that are to be laid in.
    strokes
        Of the file.
    done
        Strokes from the file's first on that the machine has run for certain.
    sent
        Strokes that were begun by what was sent: from `done` to here nobody knows.
    seconds_left
        Until all sheets are done, about, without what she does between them.
    """

    kind: EventKind
    said: str
    file: str = ""
    sheet: int = 1
    sheets: int = 1
    strokes: int = 0
    done: int = 0
    sent: int = 0
    seconds_left: float = 0.0
