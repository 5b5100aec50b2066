"""Single files that a command writes: whole or not at all, never over another without a word."""

from __future__ import annotations

import errno
from collections.abc import Mapping
from importlib.util import find_spec
from pathlib import Path

from cutprep.errors import DrawingError, JobError, OutputError, Place
from cutprep.files import load_bytes, write_whole
from cutprep.limits import Limits
from cutprep.stages.readback.machine_file import too_large


def write_file(out: Path, data: bytes, *, replace: bool) -> None:
    """Write one file whole or not at all.

    Raises
    ------
    OutputError
        When it is there already and is not to be replaced, or can't be written.
    """
    if out.exists() and not replace:
        raise OutputError(
            "the file is there already", fix="Add --replace to replace it.", place=Place(file=str(out))
        )
    write_whole(out, data)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, where they are not there.

    Raises
    ------
    OutputError
        When it can't be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise OutputError(
            f"the folder can't be made ({fault.strerror})", place=Place(file=str(folder))
        ) from None


def write_picture(out: Path, svg: str, *, replace: bool) -> None:
    """Write a picture as SVG, or as PNG where the renderer for it is installed.

    Raises
    ------
    JobError
        When the ending is neither, or PNG is asked for and can't be made.
    OutputError
        When the file can't be written.
    """
    ending = out.suffix.lower()
    if ending == ".svg":
        write_file(out, svg.encode("utf-8"), replace=replace)
    elif ending == ".png":
        write_file(out, _png(svg), replace=replace)
    else:
        raise JobError(f"'{out.name}' ends neither in .svg nor in .png", fix="Name the picture so.")


def write_pictures(folder: Path, pictures: Mapping[str, str], *, replace: bool) -> int:
    """Write pictures as SVG, and as PNG too where the renderer for it is installed; gives how many files.

    Raises
    ------
    OutputError
        When one is there already and is not to be replaced (then none is written), or can't be written.
    """
    endings = (".svg", ".png") if find_spec("resvg_py") is not None else (".svg",)
    names = {(folder / name).with_suffix(ending): svg for name, svg in pictures.items() for ending in endings}
    for out in names:
        if out.exists() and not replace:
            raise OutputError(
                "the picture is there already", fix="Add --replace to replace it.", place=Place(file=str(out))
            )
    make_folder(folder)
    for out, svg in names.items():
        write_picture(out, svg, replace=replace)
    return len(names)


def _png(svg: str) -> bytes:
    try:
        import resvg_py
    except ImportError:
        raise JobError(
            "a PNG needs a renderer that is not installed",
            fix='Install it with `pip install "cutprep[png]"`, or write an .svg.',
        ) from None
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, dpi=192))


def read_text(file: Path, limits: Limits | None = None) -> str:
    """Read a machine file's text.

    Raises
    ------
    InputError
        When it is missing, too large or not text.
    """
    limits = limits or Limits()
    try:
        data = load_bytes(file, limits.machine_bytes)
    except OSError as fault:
        if fault.errno == errno.EFBIG:
            raise too_large(limits) from None
        raise JobError(f"the file can't be read ({fault.strerror})", place=Place(file=str(file))) from None
    if b"\x00" in data:
        raise DrawingError("this is no text, so it is neither HP-GL nor G-code")
    return data.decode("latin-1")
