"""One instance of the compiled search: columns of numbers in its memory, and its functions.

The search is WebAssembly, made from the C sources in `wasm/` (`python -m tests.wasm`). An instance does one job; its
memory goes with it.
"""

from __future__ import annotations

import atexit
import ctypes
import importlib
from contextlib import suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, DTypeLike

from cutprep.errors import PlanError
from cutprep.files import compiled_beside, replace_file
from cutprep.model.lines import Index

_SEARCH = Path(__file__).parent / "wasm" / "engine.wasm"
_BLOCK = 1 << 16  # bytes that are taken at once for columns
_SIGNED = 0xFFFFFFFF  # addresses come back with a sign


class EngineError(PlanError):
    """The engine is not there, broke down, or gave back no order; the plain order stands in for it."""


@cache
def _library() -> Any:
    """The library that runs WebAssembly, loaded when it is first needed: it takes some 20 ms.

    Raises
    ------
    EngineError
        When it can't be loaded.
    """
    try:
        return importlib.import_module("wasmtime")
    except (ImportError, OSError) as fault:
        raise EngineError(f"{fault}") from None


@cache
def _module() -> tuple[Any, Any]:
    """The library's engine, and the search compiled for this machine.

    Raises
    ------
    EngineError
        When it is not there, or can't be compiled.
    """
    library = _library()
    try:
        code = _SEARCH.read_bytes()
        engine = library.Engine()
        atexit.register(_module.cache_clear)  # later the library can't free them, and says so
        return engine, _compiled(library, engine, code)
    except (OSError, library.WasmtimeError) as fault:
        raise EngineError(f"{fault}") from None


def _compiled(library: Any, engine: Any, code: bytes) -> Any:
    """The search as it was compiled before, or else compiled and kept: that takes as long as loading the library.

    The library refuses what another version of it, or another processor, has compiled.
    """
    folder = compiled_beside(Path(__file__))
    if folder is None:
        return library.Module(engine, code)
    kept = folder / f"engine-{sha256(code).hexdigest()[:16]}.native"
    with suppress(OSError, library.WasmtimeError):
        return library.Module.deserialize(engine, kept.read_bytes())
    module = library.Module(engine, code)
    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        replace_file(kept, bytes(module.serialize()), lasting=False)
    return module


class Instance:
    """The search with memory of its own.

    Raises
    ------
    EngineError
        From every method, when the search breaks down or has no memory left.
    """

    def __init__(self) -> None:
        library, (engine, module) = _library(), _module()
        self._faults = (library.Trap, library.WasmtimeError, MemoryError)
        self._store = library.Store(engine)
        self._free = self._left = 0  # the rest of the last block: its address, and bytes
        try:
            self._exports = library.Instance(self._store, module, []).exports(self._store)
        except self._faults as fault:
            raise EngineError(f"{type(fault).__name__}: {fault}") from None

    def call(self, name: str, *given: float) -> Any:
        """Call a function of the search."""
        try:
            return self._exports[name](self._store, *given)
        except self._faults as fault:
            raise EngineError(f"{type(fault).__name__}: {str(fault).splitlines()[-1]}") from None

    def ints(self, values: ArrayLike, *, from_one: bool = False) -> int:
        """Put a column of whole numbers into the memory, and return its address.

        Parameters
        ----------
        from_one
            Entries count from 1, and one before them is not used.
        """
        return self._put(values, np.int32, from_one=from_one)

    def reals(self, values: ArrayLike, *, from_one: bool = False) -> int:
        """Put a column of real numbers into the memory, and return its address; see `ints`."""
        return self._put(values, np.float64, from_one=from_one)

    def read_ints(self, address: int, count: int) -> Index:
        """Read a column of `count` whole numbers, (count,), whose address a function returned."""
        column = ctypes.string_at(self._where(address, 4 * count), 4 * count)
        return np.frombuffer(column, np.int32).astype(np.int64)

    def _put(self, values: ArrayLike, kind: DTypeLike, *, from_one: bool) -> int:
        column = np.asarray(values)
        column = np.concatenate((np.zeros(1 if from_one else 0), column)).astype(kind)
        address = self._allocate(column.nbytes)
        ctypes.memmove(self._where(address, column.nbytes), column.ctypes.data, column.nbytes)
        return address

    def _allocate(self, size: int) -> int:
        """Room for a column, from a block that holds several: a call takes longer than a small column."""
        size = -(-size // 16) * 16
        if size > self._left:
            self._left = max(size, _BLOCK)
            self._free = int(self.call("allocate", self._left)) & _SIGNED
        self._free, self._left = self._free + size, self._left - size
        return self._free - size

    def _where(self, address: int, size: int) -> int:
        """The address in our own memory of some bytes in that of the search."""
        memory = self._exports["memory"]
        begin = address & _SIGNED
        if begin == 0 or begin + size > memory.data_len(self._store):
            raise EngineError("the search gave back nothing")
        return ctypes.addressof(memory.data_ptr(self._store).contents) + begin
