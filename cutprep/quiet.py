"""Loading the DXF library without what it looks for on the way.

When it is loaded it reads `ezdxf.ini` from the working folder and from the home folder, and where it finds no
list of fonts in the home folder it opens every font of the system and writes one. A template from the net may
lie beside a file of that name: one that is no text ended the program, and others change how drawings
are read. Fonts are never needed here, for text is no line work; where there are many the first start took
seconds.

Only its two modules that look outside are touched, and only while they load: each is given names of its own to
look with. Nothing else in the process is changed, and afterwards both behave as their author wrote them.
"""

from __future__ import annotations

import builtins
import configparser
import importlib
import importlib.util
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder
from types import ModuleType, SimpleNamespace
from typing import Any

_LOADING = threading.Lock()


class _Unread(configparser.ConfigParser):
    """Settings that are never read from a file."""

    def read(self, filenames: Any, encoding: str | None = None) -> list[Any]:
        del filenames, encoding
        return []


class _NoFonts:
    """Stands for the library's list of fonts: it is there, and it is empty."""

    def __truediv__(self, _: object) -> _NoFonts:
        return self

    def exists(self) -> bool:
        return True

    def read_text(self) -> str:
        return '{"version": 2, "font-faces": []}'


#: Module to (what it imports from, name there, what it gets while it loads).
_OWN: dict[str, tuple[str, str, object]] = {
    "ezdxf._options": ("configparser", "ConfigParser", _Unread),
    "ezdxf.fonts.fonts": ("ezdxf", "options", SimpleNamespace(xdg_path=lambda *_: _NoFonts())),
}


class _Quietly(MetaPathFinder, Loader):
    """Finds and loads the modules of the table, and leaves every other to the system."""

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        found = PathFinder.find_spec(fullname, path, target) if fullname in _OWN else None
        if found is None or found.loader is None:
            return None
        self._loader = found.loader
        found.loader = self
        return found

    def exec_module(self, module: ModuleType) -> None:
        source, name, own = _OWN[module.__name__]

        def bring(wanted: str, *rest: Any, **more: Any) -> Any:
            return (
                SimpleNamespace(**{name: own})
                if wanted == source and name in (rest[2:3] or [()])[0]
                else builtins.__import__(wanted, *rest, **more)
            )

        names = {**vars(builtins), "__import__": bring}
        module.__dict__["__builtins__"] = names
        self._loader.exec_module(module)
        names["__import__"] = builtins.__import__
        setattr(module, name, getattr(importlib.import_module(source), name))


@contextmanager
def quietly() -> Iterator[None]:
    """Import the DXF library within this, and it opens no file but its own.

    It does nothing when the library is loaded already: then its fonts and settings are somebody else's.
    """
    with _LOADING:
        if "ezdxf" in sys.modules:
            yield
            return
        finder = _Quietly()
        sys.meta_path.insert(0, finder)
        try:
            yield
        finally:
            sys.meta_path.remove(finder)
