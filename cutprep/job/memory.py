"""What stages gave before: whoever runs a job again after a small change need not do all of it anew."""

from __future__ import annotations

import hashlib
import io
import pickle
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, Protocol, TypeVar

_Made = TypeVar("_Made")


class Memory(Protocol):
    """Gives what was made of the same inputs before, or makes it."""

    def __call__(self, what: str, inputs: tuple[Any, ...], make: Callable[[], _Made]) -> _Made:
        """Make something of inputs that can be pickled; `what` keeps results of different stages apart."""


def no_memory(what: str, inputs: tuple[Any, ...], make: Callable[[], _Made]) -> _Made:  # noqa: ARG001
    """Make everything anew: what one run of a command needs."""
    return make()


class Remembering:
    """Remembers the last results of each stage by the content of all that they were made of.

    Two inputs are the same when their pickled bytes are; where equal values happen to be pickled differently, the
    work is done again, so a remembered result is never a wrong one.

    Parameters
    ----------
    most
        How many results are remembered.
    """

    def __init__(self, most: int = 64) -> None:
        self._most = most
        self._made: OrderedDict[tuple[str, bytes], Any] = OrderedDict()

    def __call__(self, what: str, inputs: tuple[Any, ...], make: Callable[[], _Made]) -> _Made:
        """Make something, or give what was made of the same inputs."""
        key = (what, _digest(inputs))
        if key not in self._made:
            self._made[key] = make()
            while len(self._made) > self._most:
                self._made.popitem(last=False)
        self._made.move_to_end(key)
        made: _Made = self._made[key]
        return made


def _digest(inputs: tuple[Any, ...]) -> bytes:
    """Digest of the content: two equal values in it are written twice, whether they are one object or not."""
    stream = io.BytesIO()
    pickler = pickle.Pickler(stream)
    pickler.fast = True
    pickler.dump(inputs)
    return hashlib.sha256(stream.getbuffer()).digest()
