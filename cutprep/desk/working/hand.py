"""Sends one job to a machine, in a process of its own: what is asked and answered are lines of JSON.

The first line is the wish: `folder`, `to`, `sheet`, `file`, `stroke`, `frame`, `replace`; then `"go"`, `"hold"` and
`"stop"`. Told are `refused`, or one line for each event. When the server is gone the input ends: then the machine is
stopped and its tool lifted, since nobody could stop it any more.
"""

from __future__ import annotations

import json
import sys
import threading
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any, TextIO

from cutprep.errors import CutprepError
from cutprep.limits import Limits
from cutprep.link.copying import TURNED_OVER, copy_job
from cutprep.link.events import EventKind, LinkEvent
from cutprep.link.log import new_log
from cutprep.link.ports import open_line
from cutprep.link.runs import Run, from_stroke, job_runs, known_style
from cutprep.link.sending import Sending
from cutprep.tolerance import Tolerance

#: Of so many turns the order is told.
_MOST_TURNS = 60


class NoSuchStart(CutprepError):
    """There is no such sheet, file or stroke to begin with.

    Attributes
    ----------
    field
        Which of them.
    """

    def __init__(self, field: str, problem: str, fix: str = "") -> None:
        super().__init__(problem, fix=fix)
        self.field = field


def hand_over(lines: Iterable[str], out: TextIO) -> None:
    """Do one wish.

    Parameters
    ----------
    lines
        The wish, then what she says.
    out
        Takes what is told.
    """
    said = iter(lines)
    wish = json.loads(next(said))
    folder, to = Path(wish["folder"]), wish["to"]
    try:
        if Path(to).expanduser().is_dir():
            _tell(out, _copied(folder, Path(to).expanduser(), replace=wish["replace"]))
            return
        runs = runs_from(job_runs(folder, Tolerance(), style=known_style(folder)), wish)
        line = open_line(to, runs[0].machine, runs[0].script.language)
    except CutprepError as fault:
        told = {"problem": fault.problem, "fix": fault.fix, "field": getattr(fault, "field", "to")}
        _say(out, {"is": "refused", **told})
        return
    sending = Sending(runs, line, new_log(wish["title"]), frame=wish["frame"])
    threading.Thread(target=_obey, args=(said, sending), daemon=True).start()
    for event in sending:
        _tell(out, event)


def runs_from(runs: tuple[Run, ...], wish: dict[str, Any]) -> tuple[Run, ...]:
    """Leave out what comes before a sheet, a file and a stroke.

    Parameters
    ----------
    runs
        All, in their order.
    wish
        `sheet`; `file`, or "" for the first on that sheet; `stroke`, from 1.

    Raises
    ------
    NoSuchStart
        When there is none.
    """
    sheet, file = wish["sheet"], wish["file"]
    at = [i for i, run in enumerate(runs) if run.sheet == sheet and file in ("", run.file)]
    if not at:
        problem = f"there is no {file or 'file'} on sheet {sheet}"
        raise NoSuchStart("sheet", problem, f"The job has {runs[-1].sheets} to lay in.")
    try:
        first = from_stroke(runs[at[0]], wish["stroke"], Tolerance())
    except CutprepError as fault:
        raise NoSuchStart("stroke", fault.problem, fault.fix) from None
    return (first, *runs[at[0] + 1 :])


def _copied(folder: Path, to: Path, *, replace: bool) -> LinkEvent:
    """Onto a stick: there is nothing to wait for."""
    copied, turns, turned = copy_job(folder, to, Tolerance(), most=Limits().machine_bytes, replace=replace)
    told = "; ".join(turns[:_MOST_TURNS])
    more = "; and so on, as on the job sheet" if len(turns) > _MOST_TURNS else ""
    over = f" {TURNED_OVER}" if turned else ""
    said = f"{copied} copied to {to} and read again. Run in this order: {told}{more}.{over}"
    return LinkEvent(EventKind.SENT, said)


def _obey(said: Iterable[str], sending: Sending) -> None:
    acts = {"go": sending.go, "hold": sending.hold, "stop": sending.stop}
    for line in said:
        acts[json.loads(line)]()
    sending.stop()  # the server is gone


def _tell(out: TextIO, event: LinkEvent) -> None:
    _say(out, {"is": "event", **asdict(event), "kind": event.kind.value})


def _say(out: TextIO, told: dict[str, Any]) -> None:
    try:
        out.write(json.dumps(told) + "\n")
        out.flush()
    except OSError:  # the server is gone; the machine must be stopped all the same
        pass


if __name__ == "__main__":
    hand_over(sys.stdin, sys.stdout)
