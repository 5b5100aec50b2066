"""A line to a machine: what every way of reaching one can do, its clock included.

Time passes on the line and nowhere else, so that a simulated line brings a simulated clock.
"""

from __future__ import annotations

from typing import Protocol

from cutprep.errors import OutputError


class LineLost(OutputError):
    """The line to the machine is gone: unplugged, switched off, or closed at the other end."""


class OpenLine(Protocol):
    """A line that is open.

    Attributes
    ----------
    name
        What the maker calls it.
    rate
        Bytes a second that it carries; 0 where that is not known.
    """

    name: str
    rate: float

    def now(self) -> float:
        """Seconds on the line's clock."""

    def wait(self, seconds: float) -> None:
        """Let time pass: until something has come in, at most so long."""

    def write(self, data: bytes) -> int:
        """Hand over as much as may be on its way now, and tell how many bytes.

        Raises
        ------
        LineLost
            When the line is gone.
        """

    def waiting(self) -> int:
        """Bytes that were handed over and are not on their way yet, as far as the system tells."""

    def read(self) -> bytes:
        """What has come in since.

        Raises
        ------
        LineLost
            When the line is gone.
        """

    def close(self) -> None:
        """Let go of it; what was handed over is still sent."""
