"""The output folder: written whole or not at all, and only over what cutprep wrote itself.

Everything goes into a fresh folder beside the target first, files of other people's in the target
as second names for the same data (hard links). On Linux the two folders are then exchanged in one
step of the file system (renameat2); elsewhere the old one is moved aside and the new one takes its
name. So whenever the process is killed, the target is the complete old job or the complete new one,
and nothing that a killed run leaves beside it holds anything that is not in the target too.

What it leaves is removed by the next run for the same target. A run at work holds a lock on its
folder, which the system lifts when the process ends; a folder whose lock can be had is left over.
"""

from __future__ import annotations

import ctypes
import importlib
import importlib.util
import json
import os
import re
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Any

from cutprep.errors import OutputError, Place
from cutprep.files import as_bytes, load_bytes
from cutprep.job.record.read import INDEX, LARGEST_INDEX

#: None on systems without such locks: left-over folders then stay.
fcntl: Any = importlib.import_module("fcntl") if importlib.util.find_spec("fcntl") else None

_ASIDE = "-old"
#: A job of one small sheet with its pages, twice: it is written beside an old one.
_LEAST_ROOM = 2_000_000
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
    _require_room(folder)
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


def _require_room(folder: Path) -> None:
    """Refuse a target in which nothing could be written, as far as the system tells."""
    above = next(path for path in folder.absolute().parents if os.path.lexists(path))
    place = Place(file=str(folder))
    if not above.is_dir():
        raise OutputError(
            f"{above} is a file or a link to nothing, and no folder can be made in it",
            fix="Name another folder with --out.",
            place=place,
        )
    if not os.access(above, os.W_OK | os.X_OK):
        raise OutputError(
            f"nothing may be written into {above}", fix="Name another folder with --out.", place=place
        )
    with suppress(OSError):  # where the system can't tell, writing will
        free = shutil.disk_usage(above).free
        if free < _LEAST_ROOM:
            raise OutputError(
                f"the disk has {free / 1e6:.1f} MB left; a job takes {_LEAST_ROOM / 1e6:.0f} MB and more",
                fix="Make room, or name a folder on another disk with --out.",
                place=place,
            )


def written(folder: Path) -> set[str]:
    """Names of the files that cutprep wrote into a folder, by its job.json.

    Raises
    ------
    OutputError
        When job.json is missing or does not say.
    """
    try:
        names = json.loads(load_bytes(folder / INDEX, LARGEST_INDEX))["files"]
        own = {str(name) for name in names}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
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
    clear_left_over(folder)
    require_free(folder, replace=replace)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with _fresh_folder(folder) as fresh:
            for name, content in files.items():
                _write(fresh / name, as_bytes(content))
            fresh.chmod(0o777 & ~_umask())
            _swap(fresh, folder)
    except OSError as fault:
        raise OutputError(
            f"the output can't be written ({fault.strerror or fault})",
            fix="Check the folder's rights and the space on the disk; nothing was changed.",
            place=Place(file=str(folder)),
        ) from fault


def clear_left_over(folder: Path) -> None:
    """Remove what killed runs for a target left beside it; put an old job back that was moved aside.

    Only folders of our own kind of name, of our own user, whose run has ended are touched.
    """
    ours = re.compile(re.escape(_prefix(folder)) + rf"[a-z0-9_]{{8}}({_ASIDE})?")
    if fcntl is None or not hasattr(os, "getuid"):
        return
    with suppress(OSError):
        for path in sorted(folder.parent.iterdir()):
            if not ours.fullmatch(path.name) or path.is_symlink() or path.lstat().st_uid != os.getuid():
                continue
            with ExitStack() as stack:
                if not _lock(path, stack):
                    continue
                if path.name.endswith(_ASIDE) and not folder.exists():
                    path.rename(folder)
                else:
                    shutil.rmtree(path, ignore_errors=True)


def _prefix(folder: Path) -> str:
    return f".{folder.name}-cutprep-"


@contextmanager
def _fresh_folder(folder: Path) -> Iterator[Path]:
    """A new folder beside the target, locked while in use and gone afterwards."""
    fresh = Path(tempfile.mkdtemp(prefix=_prefix(folder), dir=folder.parent))
    try:
        with ExitStack() as stack:
            _lock(fresh, stack)
            # After the exchange it is the old folder that stands under the fresh one's name.
            _lock(folder, stack)
            yield fresh
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _lock(folder: Path, stack: ExitStack) -> bool:
    """Lock a folder until the stack is closed; False when another run holds it or it can't be locked."""
    if fcntl is None:
        return False
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return False
    stack.callback(os.close, handle)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _write(path: Path, data: bytes) -> None:
    with path.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _umask() -> int:
    value = os.umask(0)
    os.umask(value)
    return value


def _swap(fresh: Path, folder: Path) -> None:
    """Let the fresh folder take the target's name, with the foreign files of the old one."""
    if not folder.exists():
        fresh.rename(folder)
        return
    own = written(folder) if (folder / INDEX).is_file() else set()
    for path in folder.iterdir():
        if path.name in own:
            continue
        if (fresh / path.name).exists():
            raise OutputError(
                f"the output folder holds '{path.name}', which cutprep did not write and would replace",
                fix="Move it elsewhere, or name another folder.",
                place=Place(file=str(path)),
            )
        _second_name(path, fresh / path.name)
    if not _exchange(fresh, folder):
        aside = fresh.with_name(fresh.name + _ASIDE)
        folder.rename(aside)
        fresh.rename(folder)
        aside.rename(fresh)
    for path in fresh.iterdir():  # what was put into the old folder meanwhile
        if path.name not in own and not (folder / path.name).exists():
            path.rename(folder / path.name)


def _second_name(path: Path, other: Path) -> None:
    """Let a file, link or folder stand at a second place: the same data where the system can, else a copy."""
    if path.is_dir() and not path.is_symlink():
        shutil.copytree(path, other, symlinks=True, copy_function=_link_or_copy)
    else:
        _link_or_copy(path, other)


def _link_or_copy(path: str | Path, other: str | Path) -> None:
    try:
        os.link(path, other, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(path, other, follow_symlinks=False)


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; False where the system can't."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    done = rename(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE)
    return bool(done == 0)
