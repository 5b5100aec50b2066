"""What `cutprep send` and `cutprep ports` do: a proved job to a machine, or onto a stick."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

import typer

from cutprep.cli import show
from cutprep.cli.jobs import named_machine
from cutprep.limits import Limits
from cutprep.link.copying import TURNED_OVER, copy_files, copy_job
from cutprep.link.events import EventKind, LinkEvent
from cutprep.link.log import new_log
from cutprep.link.ports import open_line, ports
from cutprep.link.runs import Run, file_run, job_runs, known_style
from cutprep.link.sending import Sending, refuse_unasked
from cutprep.profile.line import LineStyle
from cutprep.tolerance import Tolerance
from cutprep.units import plural, say_time


def list_ports(*, json: bool) -> None:
    """Print the ways to a machine that there are here."""
    found = ports()
    if json:
        show.say_json([{"name": one.name, "kind": one.kind, "told": one.told} for one in found])
        return
    show.show_table(("name", "what it is", "what the system says"), [(p.name, p.kind, p.told) for p in found])
    if not found:
        show.say("There is no serial port, printer or stick here now. Is the machine plugged in and on?")
    show.say("A network port is named HOST:PORT. Looking has opened and sent nothing.", console=show.err())


def send(
    source: Path,
    to: str,
    settings: dict[str, Any],
    *,
    language: str | None,
    sheet: int | None,
    file: str | None,
    stroke: int,
    frame: bool,
    unasked: bool,
    replace: bool,
    limits: Limits,
) -> bool:
    """Send a job or a file; True when all of it was sent.

    Parameters
    ----------
    source
        Folder that `prepare` wrote, or a machine file.
    to
        A port, or a folder to copy to.
    settings
        The machine, where one is named; a job knows its own, and takes from a named one how it is spoken to.
    language
        For a single file; None to find out.
    sheet, file, stroke
        Only this sheet; with which of its files, and where in it, to begin.
    frame, unasked
        Trace the frame first; start without waiting.
    replace
        Replace other files of the same names in a folder.
    limits
        How large a machine file is followed.

    Raises
    ------
    CutprepError
        When nothing can be sent.
    """
    if Path(to).is_dir():
        _copy(source, Path(to), sheet, replace=replace, limits=limits)
        return True
    if source.is_dir():
        style = _spoken_to(source, settings)
        runs = job_runs(
            source, Tolerance(), style=style, sheet=sheet, file=file, stroke=stroke, limits=limits
        )
    else:
        machine = named_machine(settings)
        runs = (file_run(source, machine, Tolerance(), language=language, stroke=stroke, limits=limits),)
    if unasked:
        refuse_unasked(runs)  # before a port is opened
    line = open_line(to, runs[0].machine, runs[0].script.language)
    log = new_log(source.name)
    sending = Sending(runs, line, log, frame=frame, unasked=unasked)
    show.say(_before(source, runs))
    asking = _Asking(sending)
    with asking.stopped_by_ctrl_c():
        last = asking.follow()
    if log.path is not None:
        show.say(f"What was sent stands in {log.path}", console=show.err())
    whole = last.kind in (EventKind.FINISHED, EventKind.SENT)
    if not whole and last.sent:
        again = last.done + 1
        which = f" --sheet {last.sheet}" if last.sheets > 1 else ""
        if len({run.file for run in runs if run.sheet == last.sheet}) > 1 or file:
            which += f" --from-file {last.file}"
        show.say(
            f"To go on from the start of stroke {again}: cutprep send {source} --to {to}{which} --from-stroke {again}",
            console=show.err(),
        )
    return whole


def _spoken_to(folder: Path, settings: dict[str, Any]) -> LineStyle | None:
    """How a job's machine is spoken to: as the named one, or as its profile says now, or said then."""
    if "machine" in settings:
        return named_machine(settings).line
    return known_style(folder)


def _before(source: Path, runs: tuple[Run, ...]) -> str:
    seconds = sum(float(run.script.seconds.sum()) for run in runs)
    return (
        f"{source.name}: {plural(len(runs), 'machine file')}, proved, {say_time(seconds)} of motion. "
        "Ctrl-C stops; the machine's own switch is the emergency stop."
    )


class _Asking:
    """Whether she is being asked: Ctrl-C then answers the question, else it stops the machine."""

    def __init__(self, sending: Sending) -> None:
        self._sending = sending
        self._asked = False

    def follow(self) -> LinkEvent:
        """Show events, and ask where she is waited for; gives the last."""
        last = None
        for last in self._sending:
            bad = last.kind in (EventKind.LOST, EventKind.STOPPED)
            show.say(last.said, style="bold red" if bad else "", console=show.err() if bad else None)
            if last.kind is EventKind.ASKS:
                if self._agrees():
                    self._sending.go()
                else:
                    self._sending.stop()
        assert last is not None  # there is at least one run, and each tells how it ended
        return last

    def _agrees(self) -> bool:
        """Whether she goes on; no answer is none."""
        self._asked = True
        try:
            return typer.prompt("Go on? [y/n]", prompt_suffix=" ", err=True).strip().lower() in ("y", "yes")
        except typer.Abort:
            return False
        finally:
            self._asked = False

    @contextmanager
    def stopped_by_ctrl_c(self) -> Iterator[None]:
        """Ctrl-C stops the machine; a second one leaves at once."""

        def stop(number: int, frame: FrameType | None) -> None:  # noqa: ARG001
            if self._asked:
                raise KeyboardInterrupt
            signal.signal(signal.SIGINT, before)
            sys.stderr.write("\nStopping ...\n")
            self._sending.stop()

        before = signal.signal(signal.SIGINT, stop)
        try:
            yield
        finally:
            signal.signal(signal.SIGINT, before)


def _copy(source: Path, folder: Path, sheet: int | None, *, replace: bool, limits: Limits) -> None:
    """Machine files onto a stick, and in which order they are run."""
    if not source.is_dir():
        copy_files([source], folder, most=limits.machine_bytes, replace=replace)
        show.say(f"{folder / source.name}: copied and read again.")
        return
    copied, turns, turned = copy_job(
        source, folder, Tolerance(), sheet=sheet, most=limits.machine_bytes, replace=replace
    )
    show.say(f"{copied} copied to {folder} and read again. Run in this order:")
    for number, turn in enumerate(turns, 1):
        show.say(f"{number:3d}. {turn}")
    if turned:
        show.say(TURNED_OVER)
