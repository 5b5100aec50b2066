"""Single files that a command writes: whole or not at all, never over another without a word."""

from __future__ import annotations

import os
from pathlib import Path

from cutprep.errors import JobError, OutputError, Place


def write_file(out: Path, data: bytes, *, replace: bool) -> None:
    """Write one file whole or not at all.

    Raises
    ------
    OutputError
        When it is there already and is not to be replaced, or can't be written.
    """
    place = Place(file=str(out))
    if out.exists() and not replace:
        raise OutputError("the file is there already", fix="Add --replace to replace it.", place=place)
    fresh = out.with_name(f".{out.name}.{os.getpid()}")
    try:
        fresh.write_bytes(data)
        fresh.replace(out)
    except OSError as fault:
        raise OutputError(f"the file can't be written ({fault.strerror})", place=place) from None
    finally:
        fresh.unlink(missing_ok=True)


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


def _png(svg: str) -> bytes:
    try:
        import resvg_py
    except ImportError:
        raise JobError(
            "a PNG needs a renderer that is not installed",
            fix='Install it with `pip install "cutprep[png]"`, or write an .svg.',
        ) from None
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, dpi=192))
