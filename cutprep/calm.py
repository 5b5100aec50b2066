"""Loading the DXF library without what it looks for on the way.

When it is loaded it reads `ezdxf.ini` from the working folder and from the home folder, and where it finds no
list of fonts in the home folder it opens every font of the system and writes one. A template from the net may
lie beside a file of that name: one that is no text ended the program, and others change how drawings
are read. Fonts are never needed here, for text is no line work; where there are many the first start took
seconds.
"""

from __future__ import annotations

import configparser
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

#: Holds an empty list of fonts, at the place where the library looks for its own.
_EMPTY = Path(__file__).parent / "no_fonts"


@contextmanager
def calmly() -> Iterator[None]:
    """Import the DXF library within this, and it opens no file but its own.

    It does nothing when the library is loaded already: then its fonts and settings are somebody else's.
    """
    if "ezdxf" in sys.modules:
        yield
        return
    before = {name: os.environ.get(name) for name in ("XDG_CACHE_HOME", "EZDXF_CONFIG_FILE")}
    read = configparser.ConfigParser.read
    os.environ["XDG_CACHE_HOME"] = str(_EMPTY)
    os.environ.pop("EZDXF_CONFIG_FILE", None)
    configparser.ConfigParser.read = lambda *_, **__: []  # type: ignore[method-assign]
    try:
        yield
    finally:
        configparser.ConfigParser.read = read  # type: ignore[method-assign]
        for name, value in before.items():
            os.environ.pop(name, None)
            if value is not None:
                os.environ[name] = value
