"""The reader's door: content decides, names are hints, and no foreign exception passes."""

from __future__ import annotations

import gzip
import os
from collections.abc import Callable
from pathlib import Path
from subprocess import run
from sys import executable

import ezdxf
import ezdxf.lldxf.tags
import ezdxf.math.transformtools
import ezdxf.tools.binarydata
import lxml.etree
import pytest
from ezdxf.lldxf import const

import cutprep.stages.read.dxf.drawing
from cutprep.errors import DrawingError, JobError
from cutprep.limits import Limits
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance

SQUARE = (
    "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\ncut\n70\n1\n"
    "10\n0\n20\n0\n10\n30\n20\n0\n10\n30\n20\n20\n10\n0\n20\n20\n0\nENDSEC\n0\nEOF\n"
)


#: Modules of the libraries behind the readers that define exceptions.
_MODULES = (const, ezdxf.lldxf.tags, ezdxf.math.transformtools, ezdxf.tools.binarydata, lxml.etree)
_FOUND = {
    f"{module.__name__}.{name}": kind
    for module in _MODULES
    for name, kind in vars(module).items()
    if isinstance(kind, type) and issubclass(kind, Exception)
}
_BUILT_IN = (
    OSError,
    UnicodeDecodeError,
    ValueError,
    KeyError,
    ZeroDivisionError,
    MemoryError,
    RecursionError,
)
FOREIGN = (*(_FOUND[name] for name in sorted(_FOUND)), *_BUILT_IN)


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    path = tmp_path / "tray.v2.dxf"
    path.write_text(SQUARE)
    return path


def test_foreign_classes_are_found() -> None:
    names = {k.__name__ for k in FOREIGN}
    assert {"DXFStructureError", "XMLSyntaxError", "LxmlError"} <= names
    assert ezdxf.DXFError in FOREIGN
    assert lxml.etree.XMLSyntaxError in FOREIGN


@pytest.mark.parametrize("kind", FOREIGN, ids=lambda k: k.__name__)
def test_foreign_exceptions_become_drawing_errors(
    kind: type[Exception], drawing: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise kind.__new__(kind)

    monkeypatch.setattr(cutprep.stages.read.dxf.drawing, "read_dxf", fail)
    with pytest.raises(DrawingError) as caught:
        read(drawing, tolerance=Tolerance())
    assert caught.value.place.file == "tray.v2.dxf"
    assert ("Simplify it" if kind is MemoryError else "again") in caught.value.fix, caught.value.fix


def test_a_syntax_error_keeps_its_line(drawing: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        lxml.etree.fromstring("<svg>\n<g>\n</svg>")

    monkeypatch.setattr(cutprep.stages.read.dxf.drawing, "read_dxf", fail)
    with pytest.raises(DrawingError, match=r"tray\.v2\.dxf:3"):
        read(drawing, tolerance=Tolerance())


def test_the_drawing_is_named_by_the_file(drawing: Path) -> None:
    assert read(drawing, tolerance=Tolerance()).name == "tray.v2"
    assert read(str(drawing), tolerance=Tolerance()).name == "tray.v2"
    packed = drawing.with_name("tray.dxf.gz")
    packed.write_bytes(gzip.compress(SQUARE.encode(), mtime=0))
    assert read(packed, tolerance=Tolerance()).name == "tray"
    assert not [n for n in read(packed, tolerance=Tolerance()).notes if n.code == "wrong-extension"]


@pytest.mark.parametrize("name", ["tray.svg", "tray.txt", "tray"])
def test_a_wrong_ending_is_told(drawing: Path, name: str) -> None:
    renamed = drawing.rename(drawing.with_name(name))
    notes = [n for n in read(renamed, tolerance=Tolerance()).notes if n.code == "wrong-extension"]
    assert len(notes) == 1
    assert "DXF" in notes[0].problem


def test_upper_case_endings_are_right(drawing: Path) -> None:
    renamed = drawing.rename(drawing.with_name("TRAY.DXF"))
    assert not [n for n in read(renamed, tolerance=Tolerance()).notes if n.code == "wrong-extension"]


def test_utf16_is_read(tmp_path: Path) -> None:
    path = tmp_path / "tray.dxf"
    path.write_bytes(SQUARE.replace("cut", "schneiden ü").encode("utf-16"))
    assert read(path, tolerance=Tolerance()).lines[0].layer == "schneiden ü"


def _missing(path: Path) -> Path:
    return path.with_name("nothing.dxf")


def _folder(path: Path) -> Path:
    return path.parent


def _zero_byte(path: Path) -> Path:
    return path.with_name("a\0b.dxf")


def _pipe(path: Path) -> Path:
    os.mkfifo(path.with_name("pipe"))
    return path.with_name("pipe")


@pytest.mark.parametrize(
    ("change", "said"),
    [(_missing, "no such file"), (_folder, "folder"), (_zero_byte, "can't be opened"), (_pipe, "pipe")],
)
def test_unusable_paths(drawing: Path, change: Callable[[Path], Path], said: str) -> None:
    with pytest.raises(DrawingError, match=said):
        read(change(drawing), tolerance=Tolerance())


def test_a_locked_file(drawing: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(DrawingError, match="Permission denied"):
        read(drawing, tolerance=Tolerance())


def test_large_files_are_refused_before_they_are_read(drawing: Path) -> None:
    with pytest.raises(DrawingError, match="larger than 0 MB"):
        read(drawing, limits=Limits(file_bytes=10), tolerance=Tolerance())


def test_an_unknown_unit_is_the_callers_fault(drawing: Path) -> None:
    with pytest.raises(JobError, match="furlong"):
        read(drawing, units="furlong", tolerance=Tolerance())


def test_readers_load_only_when_needed() -> None:
    code = (
        "import sys, cutprep.stages.read.reader as r\n"
        "print(sorted({'ezdxf', 'lxml', 'svgelements', 'numpy'} & set(sys.modules)))\n"
    )
    told = run([executable, "-c", code], check=True, capture_output=True, text=True).stdout
    assert told == "['numpy']\n"


OURS = {
    "svg": ("cutprep.stages.read.svg.drawing", "Document"),
    "dxf": ("cutprep.stages.read.dxf.drawing", "np"),
}


@pytest.mark.parametrize("kind", OURS)
def test_a_fault_of_our_own_is_not_laid_on_the_drawing(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A name that is missing in our own code: the maker can't mend that by saving again."""
    module, name = OURS[kind]
    __import__(f"cutprep.stages.read.{kind}")
    monkeypatch.delattr(f"{module}.{name}")
    with pytest.raises(NameError, match=name):
        read(Path(__file__).parents[4] / "samples" / f"swing-tag.{kind}", tolerance=Tolerance())
