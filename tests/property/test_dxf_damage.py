"""Whatever is done to a file, there is a drawing or one clear error, never anything else."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

import ezdxf
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.errors import CutprepError, DrawingError
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.dxf_text import read_text
from tests.outside.dxf_features import FEATURES, as_bytes, documents

ODD = (
    "", "nan", "1e999", "-1e999", "five", "1,5", "0", "-1", "99999999999", "1e300", "*", "{", "}", "LINE", "SECTION",
    "ENDSEC", "EOF", "1e-300", "32767", "2147483648", "BLOCK", "INSERT", "POLYLINE", "256", "-5", "102", "1001",
)  # fmt: skip


@cache
def files() -> tuple[bytes, ...]:
    """Drawings of every feature, from the section that holds them on."""
    found = []
    for feature in FEATURES:
        _, doc = next(iter(documents(feature)))
        found.append(as_bytes(doc))
    return tuple(found)


@cache
def binary() -> bytes:
    doc = ezdxf.new("R2000", units=4)
    doc.modelspace().add_lwpolyline([(0, 0, 0, 0, 1), (10, 0, 0, 0, 1)], close=True)
    doc.modelspace().add_open_spline([(0, 0), (5, 5), (9, 0), (12, 7)])
    stream = io.BytesIO()
    doc.write(stream, fmt="bin")
    return stream.getvalue()


def _survive(data: bytes) -> None:
    fault: CutprepError | None = None
    try:
        assert len(read_text(data).lines)
    except CutprepError as error:
        fault = error
    if fault is not None:
        assert fault.problem
        assert fault.place.file == "tray.dxf"


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_changed_lines(data: st.DataObject) -> None:
    lines = data.draw(st.sampled_from(files())).split(b"\n")
    begin = max(i for i, text in enumerate(lines) if text.strip() in {b"BLOCKS", b"ENTITIES"})
    for _ in range(data.draw(st.integers(1, 5))):
        i = data.draw(st.integers(begin - 50, min(len(lines), begin + 800) - 1))
        change = data.draw(st.sampled_from(("delete", "insert", "replace", "copy")))
        odd = data.draw(st.sampled_from(ODD)).encode()
        if change == "delete":
            del lines[i]
        elif change == "insert":
            lines.insert(i, odd)
        else:
            lines[i] = odd if change == "replace" else lines[data.draw(st.integers(begin, len(lines) - 1))]
    _survive(b"\n".join(lines))


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_changed_bytes_of_a_binary_file(data: st.DataObject) -> None:
    content = bytearray(binary())
    for _ in range(data.draw(st.integers(1, 4))):
        content[data.draw(st.integers(22, len(content) - 1))] = data.draw(st.integers(0, 255))
    _survive(bytes(content))


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_a_file_cut_off_is_whole_or_refused(data: st.DataObject) -> None:
    content = data.draw(st.sampled_from((*files(), binary())))
    cut = content[: data.draw(st.integers(0, len(content) - 1))]
    try:
        found = read_text(cut)
    except DrawingError:
        return
    assert len(found.lines) == len(read_text(content).lines)


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=400))
def test_anything_at_all(content: bytes) -> None:
    _survive(content)


def test_a_section_of_blocks_without_any_block(tmp_path: Path) -> None:
    """Found by fuzzing."""
    rows = [
        "0",
        "SECTION",
        "2",
        "BLOCKS",
        "0",
        "ENDSEC",
        "0",
        "SECTION",
        "2",
        "ENTITIES",
        "0",
        "LINE",
        "8",
        "CUT",
    ]
    rows += ["10", "0", "20", "0", "11", "9", "21", "9", "0", "ENDSEC", "0", "EOF", ""]
    path = tmp_path / "tag.dxf"
    path.write_text("\n".join(rows))
    assert len(read(path, tolerance=Tolerance()).lines) == 1
