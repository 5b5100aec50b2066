"""Work counted in seconds of a usual machine, so that a search ends at the same point on every machine.

What each step costs was measured once, on the templates of tests/bench/nest.py; the figures are rounded
and stand for the order of magnitude. A clock would give another layout on every run.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import FrameType

#: One free region brought up to date.
REGION = 0.3e-3  # not a tolerance: seconds of work
#: One pair of convex pieces in a no-fit polygon.
PIECES = 35e-6  # not a tolerance: seconds of work
#: Finding the densest lattices of a template.
LATTICES = 0.5
#: One row of cells of one copy laid over a sheet of cells.
ROW = 12e-6  # not a tolerance: seconds of work
#: One copy slid to its neighbours by its true outline.
SLIDE = 4e-3  # not a tolerance: seconds of work
#: A pair of cells in which the origins of two copies may lie.
CELLS = 1e-6  # not a tolerance: seconds of work
#: The lightest report of the packer for each copy and square of its vertices; others weigh many times as much (`pack/child`).
REPORT = 0.2e-6  # not a tolerance: seconds of work


@dataclass(slots=True)
class Meter:
    """Seconds of counted work; where a search ends is said by whoever searches.

    Attributes
    ----------
    spent
        How much, s.
    interrupted
        Ctrl-C was pressed, and nobody has stopped yet.
    """

    spent: float = 0.0
    interrupted: bool = False

    def spend(self, seconds: float) -> None:
        """Count some work.

        Raises
        ------
        KeyboardInterrupt
            When Ctrl-C was pressed and the exception got lost; each time, since this one may get lost as well.
        """
        self.spent += seconds
        if self.interrupted:
            raise KeyboardInterrupt

    @contextmanager
    def heeding_ctrl_c(self) -> Iterator[None]:
        """While this lasts, Ctrl-C is noted as well as raised.

        Python only prints what is raised in a finaliser, a callback of a weak reference or one from C, and goes on; then
        the next counted work raises it again, or else the end of this. A handler that is not Python's own stays.
        """
        usual = signal.getsignal(signal.SIGINT)
        at_main = threading.current_thread() is threading.main_thread()
        if not at_main or usual is not signal.default_int_handler:
            yield
            return

        def note(number: int, frame: FrameType | None) -> None:  # noqa: ARG001
            self.interrupted = True
            raise KeyboardInterrupt

        signal.signal(signal.SIGINT, note)
        try:
            yield
            if self.interrupted:
                raise KeyboardInterrupt
        finally:
            signal.signal(signal.SIGINT, usual)
            self.interrupted = False
