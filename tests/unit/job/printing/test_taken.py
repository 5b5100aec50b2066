"""A drawing read with its artwork: what is said of it, and what no longer."""

from __future__ import annotations

from pathlib import Path

import pytest

import cutprep
from cutprep.errors import JobError
from cutprep.model.operation import Operation
from tests.printed import TAG, with_print


def read(tmp_path: Path, text: str, layers: dict[str, str] | None = None) -> cutprep.Drawing:
    path = tmp_path / "tag.svg"
    path.write_text(text)
    return cutprep.read(path, layers=layers or {})


def test_artwork_comes_with_the_drawing_and_its_lines_are_printed(tmp_path):
    drawing = read(tmp_path, TAG)
    assert drawing.artwork is not None
    assert drawing.notes == ()
    words = {line.layer: line.operation for line in drawing.lines}
    assert words == {"print": Operation.PRINT, "cut": Operation.CUT}


def test_texts_and_pictures_that_are_printed_are_not_told_as_left_out(tmp_path):
    text = with_print('<text x="9" y="9">Honey</text>').replace(
        '<g id="cut"', '<text id="t" x="5" y="60">of 2026</text><g id="cut"'
    )
    drawing = read(tmp_path, text)
    (note,) = drawing.notes
    assert note.code == "text-left-out"
    assert note.problem.startswith("1 text was left out")
    assert drawing.artwork is not None
    assert "of 2026" not in drawing.artwork.svg


def test_a_layer_of_texts_alone_can_be_named_in_a_rule(tmp_path):
    text = TAG.replace('id="print"', 'id="guide"').replace(
        '<g id="cut"', '<g id="label"><text x="9" y="9">Honey</text></g><g id="cut"'
    )
    drawing = read(tmp_path, text, {"label": "print"})
    assert drawing.artwork is not None
    assert "Honey" in drawing.artwork.svg
    with pytest.raises(JobError, match="no layer"):
        read(tmp_path, text, {"lable": "print"})


def test_a_dxf_has_nothing_to_print(tmp_path):
    ezdxf = pytest.importorskip("ezdxf")
    doc = ezdxf.new()
    for layer, side in (("cut", 40), ("print", 20)):
        doc.modelspace().add_lwpolyline(
            [(0, 0), (side, 0), (side, side), (0, side)], close=True, dxfattribs={"layer": layer}
        )
    doc.saveas(tmp_path / "tag.dxf")
    drawing = cutprep.read(tmp_path / "tag.dxf")
    assert drawing.artwork is None
    assert [note.code for note in drawing.notes if note.code.startswith("print")] == ["print-left-out"]
