"""What can go wrong, said so that the maker knows where and what to do.

Every error that leaves cutprep is a `CutprepError`: a problem, a place and a way out.
Code deep down raises without knowing the file; `at` adds what it knows on the way up,
and what was said nearest to the fault wins.

    CutprepError
        InputError            the file can't be used
            DrawingError      unreadable, nothing to cut, too large
            JobError          the job file or an option
            ProfileError      a machine or stock file
            Stopped           the drawings have errors (in model/findings/finding.py, which knows findings)
        PlanError             it can't be done as asked
            TooFewSheets      the sheets at hand do not hold it
            DoesNotFit        a part is larger than the sheet or the machine
            GrainConflict     no allowed rotation keeps the grain
            OutOfReach        a motion would leave the machine's area
        OutputError           the result can't be written
            ReadbackError     the machine file is not what was planned
"""

from __future__ import annotations

import sys
import tempfile
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import cutprep


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is: file, source line, element, layer, position in mm.

    `at` is the position in the maker's own words, where `units.place_in` has said it so.
    """

    file: str | None = None
    line: int | None = None
    element: str | None = None
    layer: str | None = None
    xy: tuple[float, float] | None = None
    at: str = field(default="", compare=False)

    def within(self, outer: Place) -> Place:
        """Fill what this place leaves open from an outer one."""
        return Place(
            file=outer.file if self.file is None else self.file,
            line=outer.line if self.line is None else self.line,
            element=outer.element if self.element is None else self.element,
            layer=outer.layer if self.layer is None else self.layer,
            xy=outer.xy if self.xy is None else self.xy,
            at=outer.at if self.xy is None else self.at,
        )

    def __str__(self) -> str:
        head = self.file or ""
        if self.line is not None:
            head += f":{self.line}" if head else f"line {self.line}"
        inner = [self.element] if self.element else []
        if self.layer:
            inner.append(f"layer '{self.layer}'")
        if self.xy is not None:
            inner.append(f"at {self.at or f'{self.xy[0]:.2f}, {self.xy[1]:.2f} mm'}")
        if not inner:
            return head
        return f"{head} ({', '.join(inner)})" if head else f"({', '.join(inner)})"


NOWHERE = Place()

_US = __name__.partition(".")[0]
#: Packages that do as they are told: what they throw is the fault of who called them.
_TOOLS = frozenset({*sys.stdlib_module_names, "numpy"})


class CutprepError(Exception):
    """A problem that stops the job, with its place and the way out.

    Parameters
    ----------
    problem
        What is wrong, with the value and the limit.
    fix
        What the maker can do about it; a full sentence, or empty.
    place
        Where it is.
    """

    def __init__(self, problem: str, *, fix: str = "", place: Place = NOWHERE) -> None:
        super().__init__(problem)
        self.problem = problem
        self.fix = fix
        self.place = place

    def __str__(self) -> str:
        where = str(self.place)
        text = f"{where}: {self.problem}" if where else self.problem
        if self.fix:
            text = f"{text.rstrip('.')}. {self.fix}"
        return text

    def __reduce__(self) -> tuple[object, ...]:
        # Exceptions cross a process border (nesting runs in a child), keyword arguments included.
        return (_rebuild, (type(self), self.problem, self.fix, self.place))


def _rebuild(kind: type[CutprepError], problem: str, fix: str, place: Place) -> CutprepError:
    return kind(problem, fix=fix, place=place)


class InputError(CutprepError):
    """The input can't be used."""


class DrawingError(InputError):
    """The drawing is unreadable, holds nothing to cut, or is too large."""


class JobError(InputError):
    """The job file or an option can't be used."""


class ProfileError(InputError):
    """A machine or stock profile can't be used."""


class PlanError(CutprepError):
    """The job can't be done as asked."""


class TooFewSheets(PlanError):
    """The sheets at hand do not hold what is asked for."""


class DoesNotFit(PlanError):
    """A part is larger than the sheet or the machine."""


class GrainConflict(PlanError):
    """No allowed rotation keeps the grain."""


class OutOfReach(PlanError):
    """A motion would leave the machine's area."""


class OutputError(CutprepError):
    """The result can't be written."""


class ReadbackError(OutputError):
    """The machine file is not what was planned; it is not handed over."""


class TooLarge(ReadbackError):
    """The machine file asks for more than is followed; its message names the limit."""


def is_ours(fault: BaseException) -> bool:
    """Whether an exception is a fault of cutprep's own code, not what a library says of an input.

    What counts is the last code that was running, but for the standard library and numpy, which
    only do as they are told: ours, or that of a library. An exception of a class that a library
    defines is that library's word.
    """
    if _package(type(fault).__module__) not in _TOOLS | {_US}:
        return False
    running = fault.__traceback__
    last = ""
    while running is not None:
        package = _package(str(running.tb_frame.f_globals.get("__name__", "")))
        last = last if package in _TOOLS else package
        running = running.tb_next
    return last in {_US, ""}


def told_as_ours(fault: BaseException, *, otherwise: str) -> str:
    """Say that a fault is cutprep's own, and write down what happened for those who mend it.

    Parameters
    ----------
    otherwise
        Where the details are to be found when no file can be written; they stand on stderr then.
    """
    command = " ".join(sys.argv)
    what = f"cutprep {cutprep.__version__}, Python {sys.version}, {sys.platform}\n{command}\n\n"
    what += "".join(traceback.format_exception(fault))
    try:
        with tempfile.NamedTemporaryFile(
            "w",
            encoding="utf-8",
            errors="backslashreplace",
            prefix="cutprep-fault-",
            suffix=".txt",
            delete=False,
        ) as stream:
            stream.write(what)
            name = stream.name
    except OSError:
        sys.stderr.write(what)
        name = otherwise
    return f"This is a fault of cutprep, not of your drawing. Please report it, with the drawing and {name}."


def _package(module: str) -> str:
    return module.partition(".")[0]


@contextmanager
def at(
    *,
    file: str | None = None,
    line: int | None = None,
    element: str | None = None,
    layer: str | None = None,
    xy: tuple[float, float] | None = None,
) -> Iterator[None]:
    """Add a place to errors that pass through; what an inner place says stands.

    Parameters
    ----------
    file, line, element, layer
        Where, as far as it is known here.
    xy
        mm on the drawing or the sheet.
    """
    try:
        yield
    except CutprepError as error:
        outer = Place(file=file, line=line, element=element, layer=layer, xy=xy)
        error.place = error.place.within(outer)
        raise
