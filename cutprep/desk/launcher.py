"""Something to double-click: a starter for the desk on the maker's desktop, in the form that her system takes.

Linux: a desktop entry (freedesktop.org, Desktop Entry Specification 1.5). macOS: a `.command` file, which the
system's terminal runs. Windows: a `.bat` file, since a shortcut proper is a binary form of its own.
"""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

from cutprep.errors import OutputError, Place

_NAME = "cutprep desk"
_ENTRY = """\
[Desktop Entry]
Type=Application
Version=1.5
Name={name}
Comment=Prepare papercraft templates for a cutting plotter
Exec={command}
Terminal=true
Categories=Utility;
"""


def write_launcher(
    folder: Path | None = None, *, system: str = sys.platform, python: str = sys.executable
) -> Path:
    """Put a starter on the desktop.

    Parameters
    ----------
    folder
        Where it goes; the desktop when None.
    system, python
        As `sys.platform` and `sys.executable` name them.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    OutputError
        When there is no such folder, or it can't be written.
    """
    folder = folder or _desktop()
    words = [python, "-m", "cutprep", "desk"]
    if system == "win32":
        path, text = folder / f"{_NAME}.bat", f"@echo off\r\n{subprocess.list2cmdline(words)}\r\n"
    elif system == "darwin":
        path, text = folder / f"{_NAME}.command", f"#!/bin/sh\nexec {shlex.join(words)}\n"
    else:
        command = " ".join(map(_quoted, words))
        path, text = folder / "cutprep-desk.desktop", _ENTRY.format(name=_NAME, command=command)
    try:
        path.write_bytes(text.encode("utf-8"))
        path.chmod(0o755)
    except OSError as fault:
        raise OutputError(
            f"the starter can't be written ({fault.strerror or fault})",
            fix="Name a folder: cutprep desk FOLDER --launcher puts it there.",
            place=Place(file=str(path)),
        ) from None
    return path


def _desktop() -> Path:
    """The user's desktop, as far as the system tells; her home where there is none."""
    home = Path.home()
    config = Path(os.environ.get("XDG_CONFIG_HOME") or home / ".config") / "user-dirs.dirs"
    if config.is_file():
        for line in config.read_text(encoding="utf-8", errors="replace").splitlines():
            key, _, value = line.partition("=")
            if key.strip() == "XDG_DESKTOP_DIR":
                found = Path(value.strip().strip('"').replace("$HOME", str(home)))
                return found if found.is_dir() else home
    return home / "Desktop" if (home / "Desktop").is_dir() else home


def _quoted(word: str) -> str:
    """A word of `Exec`: in quotes, with the signs escaped that the specification names; `%` stands doubled."""
    for sign in '\\"`$':
        word = word.replace(sign, f"\\{sign}")
    return '"' + word.replace("\\", "\\\\").replace("%", "%%") + '"'
