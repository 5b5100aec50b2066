"""The door of this room: a path in, a drawing or one clear error out.

The content decides which reader works, the libraries behind a reader load only when it is
needed, and whatever a library throws becomes a `DrawingError` here, so that no stage behind
needs to know which library read the file. What our own code throws passes: a fault of ours must
not be laid on the drawing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from cutprep.errors import CutprepError, DrawingError, Place, at, is_ours
from cutprep.limits import Limits, more
from cutprep.model.drawing import Artwork, Drawing
from cutprep.model.findings.finding import Finding
from cutprep.model.lines import Element
from cutprep.stages.read.sniff import FileFormat, inflate, kind_of
from cutprep.tolerance import Tolerance

_Made = TypeVar("_Made")
_SUFFIXES = {FileFormat.SVG: (".svg", ".svgz", ".gz"), FileFormat.DXF: (".dxf", ".gz")}


def read(
    path: Path | str,
    *,
    tolerance: Tolerance,
    units: str | None = None,
    limits: Limits = Limits(),  # noqa: B008 - frozen
) -> Drawing:
    """Read an SVG or DXF drawing.

    Parameters
    ----------
    path
        The file; its content decides what it is, not its name.
    tolerance
        Its `sagitta` is the chord error of flattened curves.
    units
        Unit of a drawing that names none, such as "mm" or "in".
    limits
        Upper bounds on what the file may ask for.

    Returns
    -------
    Drawing
        Lines in mm, y up, not yet classified, with notes on what was left out, assumed or
        repaired.

    Raises
    ------
    DrawingError
        When the file can't be read or holds no line work.
    JobError
        When the unit is not known.
    """
    path = Path(path)

    def make(kind: FileFormat, data: bytes) -> Drawing:
        drawing = _reader(kind, data, file=path.name, tolerance=tolerance, units=units, limits=limits)
        return replace(drawing, name=_name_of(path), notes=_note_on_name(path, kind) + drawing.notes)

    return _opened(path, limits, make)


def read_printed(
    path: Path | str,
    *,
    prints: Callable[[Element], bool],
    tolerance: Tolerance,
    units: str | None = None,
    limits: Limits = Limits(),  # noqa: B008 - frozen
) -> Artwork | None:
    """Take out of a drawing what is printed before it is cut.

    Parameters
    ----------
    path
        The file.
    prints
        Whether an element is for printing, by its layer, its own name and its stroke's colour.
    tolerance, units, limits
        As for `read`.

    Returns
    -------
    Artwork or None
        None when nothing is printed, and of a DXF, which holds lines alone.

    Raises
    ------
    DrawingError
        When the file can't be read, names no size, or a printed picture stands in another file.
    """
    path = Path(path)

    def make(kind: FileFormat, data: bytes) -> Artwork | None:
        if kind is not FileFormat.SVG:
            return None
        from cutprep.stages.read.svg.beside.artwork import read_artwork

        return read_artwork(
            data, file=path.name, prints=prints, tolerance=tolerance, units=units, limits=limits
        )

    return _opened(path, limits, make)


def _opened(path: Path, limits: Limits, make: Callable[[FileFormat, bytes], _Made]) -> _Made:
    """Make something of a file; whatever a library throws becomes one clear error."""
    with at(file=path.name):
        try:
            data = inflate(_load(path, limits), limits.inflated_bytes)
            return make(kind_of(data), data)
        except CutprepError:
            raise
        except MemoryError:
            raise DrawingError(
                "the drawing needs more memory than there is", fix="Simplify it or split it."
            ) from None
        except RecursionError:
            raise DrawingError("the drawing is nested too deeply", fix="Ungroup it and save again.") from None
        except Exception as fault:  # the door: a library may throw anything
            if is_ours(fault):
                raise
            raise DrawingError(
                f"the drawing can't be read ({type(fault).__name__}: {_first_line(fault)})",
                fix="Open it in the program that drew it and save it again.",
                place=Place(line=_line_of(fault)),
            ) from fault


def _name_of(path: Path) -> str:
    """Give the file's name without its ending; of a compressed one without both."""
    inner = Path(path.stem)
    return inner.stem if path.suffix.lower() == ".gz" else path.stem


def _reader(
    kind: FileFormat, data: bytes, *, file: str, tolerance: Tolerance, units: str | None, limits: Limits
) -> Drawing:
    if kind is FileFormat.SVG:
        from cutprep.stages.read.svg.drawing import read_svg

        return read_svg(data, file=file, tolerance=tolerance, units=units, limits=limits)
    from cutprep.stages.read.dxf.drawing import read_dxf

    return read_dxf(data, file=file, tolerance=tolerance, units=units, limits=limits)


def _load(path: Path, limits: Limits) -> bytes:
    try:
        if path.is_dir():
            raise DrawingError("this is a folder, not a drawing", fix="Name the file inside it.")
        if path.exists() and not path.is_file():
            raise DrawingError("this is a device or pipe, not a drawing", fix="Save the drawing as a file.")
        with path.open("rb") as stream:
            data = stream.read(limits.file_bytes + 1)
    except (OSError, ValueError) as fault:  # a name may hold a zero byte
        missing = isinstance(fault, FileNotFoundError)
        raise DrawingError(
            "there is no such file"
            if missing
            else f"the file can't be opened ({getattr(fault, 'strerror', None) or fault})",
            fix="Check the name and the folder." if missing else "Check that you may read it.",
        ) from None
    if len(data) > limits.file_bytes:
        raise DrawingError(
            f"the file is larger than {limits.file_bytes / 1e6:.0f} MB",
            fix=more("Simplify the drawing.", "file_bytes"),
        )
    return data


def _note_on_name(path: Path, kind: FileFormat) -> tuple[Finding, ...]:
    if path.suffix.lower() in _SUFFIXES[kind]:
        return ()
    named = f"named '{path.suffix}'" if path.suffix else "without an ending"
    return (
        Finding.of(
            code="wrong-extension",
            problem=f"the file is {named} but holds {kind.value}; it was read as {kind.value}",
            places=(Place(file=path.name),),
        ),
    )


def _first_line(fault: BaseException) -> str:
    text = str(fault).strip().splitlines()
    return text[0][:200] if text else "no reason given"


def _line_of(fault: BaseException) -> int | None:
    line = getattr(fault, "lineno", None)
    return line if isinstance(line, int) and line > 0 else None
