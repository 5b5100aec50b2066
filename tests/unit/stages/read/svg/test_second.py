"""A second opinion on the size of the page."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.stages.read.reader import read
from cutprep.stages.read.svg import second as svg_second
from cutprep.stages.read.svg.second import disagreement, other_size
from cutprep.tolerance import Tolerance


@pytest.mark.parametrize(
    ("text", "mm"),
    [("210mm", 210), ("21cm", 210), ("8.5in", 215.9), ("72pt", 25.4), ("6pc", 25.4), (" .5in ", 12.7)],
)
def test_units_it_is_asked_about(text: str, mm: float) -> None:
    assert other_size(text) == pytest.approx(mm, rel=1e-5)


@pytest.mark.parametrize("text", [None, "", "40Q", "210MM", "100%", "12em", "96", "96px", "1e2mm", "wide"])
def test_units_on_which_its_word_is_not_relied(text: str | None) -> None:
    assert other_size(text) is None


def test_a_wrong_side_is_named() -> None:
    assert disagreement("210mm", "297mm", (210.0, 297.0)) is None
    assert disagreement("210mm", "297mm", None) is None
    assert disagreement("210mm", "297mm", (210.0, 25.4 * 297)) == ("height", 25.4 * 297, pytest.approx(297))


def test_a_doubt_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "d.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="3in" viewBox="0 0 100 76.2">'
        '<path d="M0 0H50" stroke="red"/></svg>'
    )
    assert "size-in-doubt" not in {f.code for f in read(path, tolerance=Tolerance()).notes}
    monkeypatch.setattr(svg_second, "_MM_PER_INCH", 25.0)
    assert "size-in-doubt" in {f.code for f in read(path, tolerance=Tolerance()).notes}
