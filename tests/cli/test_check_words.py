"""What `check` says before its findings: how large, how many parts, whether they fold."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cutprep.cli.app import app

SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="{w}" height="{h}" viewBox="0 0 {box}">
<g id="cut" fill="none" stroke="#d02020">{cuts}</g><g id="score" stroke="#2020d0">{scores}</g></svg>
"""
ONE, TWO = '<rect x="10" y="10" width="50" height="40"/>', '<rect x="80" y="10" width="50" height="40"/>'
OPEN, FOLD = '<path d="M10 10H60V50"/>', '<path d="M35 10V50"/>'


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


def drawn(folder: Path, cuts: str, scores: str = "", *, page: tuple[str, str] = ("200mm", "100mm")) -> Path:
    path = folder / "d.svg"
    path.write_text(SVG.format(w=page[0], h=page[1], box="200 100", cuts=cuts, scores=scores))
    return path


@pytest.mark.parametrize(
    ("cuts", "scores", "count", "said"),
    [
        (ONE, FOLD, 1, ", 1 part;"),
        (ONE, "", 1, ", 1 part, nothing to fold;"),
        (ONE + TWO, FOLD, 2, ", 2 parts;"),
        (OPEN, "", 0, ", no part with a closed outline, nothing to fold;"),
    ],
)
def test_how_many_parts_there_are(cuts: str, scores: str, count: int, said: str, tmp_path: Path) -> None:
    path = drawn(tmp_path, cuts, scores)
    assert said in run("check", path).stdout
    assert json.loads(run("check", path, "--json").stdout)["parts"] == count


def test_a_page_of_another_shape_is_told_with_both_sizes(tmp_path: Path) -> None:
    found = run("check", drawn(tmp_path, ONE, page=("200mm", "50mm"))).stdout
    assert "measures 25.0 x 20.0 mm; fitted by the other side it would measure 50.0 x 40.0 mm" in found


def test_an_old_drawing_is_read_right_with_the_unit_that_was_advised(tmp_path: Path) -> None:
    """A5 (ISO 216: 148 x 210 mm) at 90 pixels to the inch."""
    page = (f"{210 * 90 / 25.4:.2f}", f"{148 * 90 / 25.4:.2f}")
    path = tmp_path / "old.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{page[0]}" height="{page[1]}">'
        f'<rect id="cut" x="9" y="9" width="{130 * 90 / 25.4}" height="{95 * 90 / 25.4}" fill="none" stroke="#000"/></svg>'
    )
    found = run("check", path).stdout
    assert "0.9375 times A5 (210.0 x 148.0 mm)" in found
    assert "it would measure 130.0 x 95.0 mm" in found
    assert "--units px90" in found
    told = json.loads(run("check", path, "--units", "px90", "--json").stdout)
    assert "size" not in {f["code"] for f in told["findings"]}
    assert told["size_mm"] == pytest.approx([130, 95], abs=0.01)  # wherever on its page it lies
    assert run("check", path, "--units", "px90", "--expect", "130x95mm").exit_code == 0
