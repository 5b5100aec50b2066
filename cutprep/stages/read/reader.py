"""The door of this room: a path in, a drawing or one clear error out.

The content decides which reader works, the libraries behind a reader load only when it is
needed, and whatever a library throws becomes a `DrawingError` here, so that no stage behind
needs to know which library read the file. What our own code throws passes: a fault of ours must
not be laid on the drawing.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from cutprep.errors import CutprepError, DrawingError, Place, at, is_ours
from cutprep.limits import Limits, more
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Finding
from cutprep.stages.read.sniff import FileFormat, inflate, kind_of
from cutprep.tolerance import Tolerance

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
    with at(file=path.name):
        try:
            data = inflate(_load(path, limits), limits.inflated_bytes)
            kind = kind_of(data)
            drawing = _reader(kind, data, file=path.name, tolerance=tolerance, units=units, limits=limits)
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
    return replace(drawing, name=_name_of(path), notes=_note_on_name(path, kind) + drawing.notes)


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
