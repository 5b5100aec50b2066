"""The output folder: written whole or not at all, and only over what cutprep wrote itself.

Everything goes into a fresh folder beside the target first. On Linux the two folders are then
exchanged in one step of the file system (renameat2); elsewhere the old one is moved aside and
the new one takes its name.
"""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from cutprep.errors import OutputError, Place

INDEX = "job.json"
_AT_FDCWD, _RENAME_EXCHANGE = -100, 2


def require_free(folder: Path, *, replace: bool) -> None:
    """Refuse a target that can't be written, before any work is done.

    Raises
    ------
    OutputError
        When it is a file, or holds files and `replace` is not set, or holds no job of ours.
    """
    place = Place(file=str(folder))
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise OutputError(
            "the output folder is a file or a link", fix="Name a folder with --out.", place=place
        )
    if not folder.exists() or not any(folder.iterdir()):
        return
    if not replace:
        raise OutputError(
            "the output folder is not empty",
            fix="Name another one, or add --replace to replace what cutprep wrote there.",
            place=place,
        )
    if not (folder / INDEX).is_file():
        raise OutputError(
            "the output folder holds files, but no job of cutprep's to replace",
            fix="Name another folder.",
            place=place,
        )
    written(folder)


def written(folder: Path) -> set[str]:
    """Names of the files that cutprep wrote into a folder, by its job.json.

    Raises
    ------
    OutputError
        When job.json is missing or does not say.
    """
    try:
        names = json.loads((folder / INDEX).read_text(encoding="utf-8"))["files"]
        own = {str(name) for name in names}
    except (OSError, ValueError, KeyError, TypeError):
        raise OutputError(
            f"{INDEX} in the output folder can't be read, so it is not known which files may be replaced",
            fix="Name another folder.",
            place=Place(file=str(folder / INDEX)),
        ) from None
    # A job.json from elsewhere must not make us touch anything outside this folder.
    return {name for name in own if Path(name).name == name} | {INDEX}


def publish(folder: Path, files: Mapping[str, str | bytes], *, replace: bool) -> None:
    """Put files into a folder, all of them or none.

    Parameters
    ----------
    folder
        The target; it is made when it is not there.
    files
        Name to content; text is written as UTF-8 with plain line feeds.
    replace
        Allow an earlier job there to be replaced; other files in it are kept.

    Raises
    ------
    OutputError
        When the folder can't be written; nothing is left half-written then.
    """
    require_free(folder, replace=replace)
    fresh: Path | None = None
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        for name, content in files.items():
            data = content.encode("utf-8") if isinstance(content, str) else content
            _write(fresh / name, data)
        fresh.chmod(0o777 & ~_umask())
        _swap(fresh, folder, written(folder) if (folder / INDEX).is_file() else set())
    except OSError as fault:
        raise OutputError(
            f"the output can't be written ({fault.strerror or fault})",
            fix="Check the folder's rights and the space on the disk; nothing was changed.",
            place=Place(file=str(folder)),
        ) from fault
    finally:
        if fresh is not None:
            shutil.rmtree(fresh, ignore_errors=True)


def _write(path: Path, data: bytes) -> None:
    with path.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _umask() -> int:
    value = os.umask(0)
    os.umask(value)
    return value


def _swap(fresh: Path, folder: Path, own: set[str]) -> None:
    """Let the fresh folder take the target's name, and carry foreign files over."""
    if not folder.exists():
        fresh.rename(folder)
        return
    if not _exchange(fresh, folder):
        aside = fresh.with_name(fresh.name + "-old")
        folder.rename(aside)
        fresh.rename(folder)
        aside.rename(fresh)
    for path in fresh.iterdir():
        if path.name not in own and not (folder / path.name).exists():
            path.rename(folder / path.name)


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; False where the system can't."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    done = rename(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE)
    return bool(done == 0)
