"""The picture of a kind: flat with letters, folded beside it."""

from __future__ import annotations

from lxml import etree

from cutprep.job.shown.picture import flat_and_folded
from cutprep.template.kinds import KINDS
from tests.folding import folded_kind


def test_flat_with_its_letters_and_folded_beside_it() -> None:
    drawing = KINDS["tray"].from_values()
    ends = drawing.lines.points(0)[:2]
    root = etree.fromstring(
        flat_and_folded(
            "a <tray>", drawing, [("length", "L", ends[0], ends[1])], folded_kind("tray")
        ).encode()
    )
    assert root.get("aria-label") == "a <tray>"
    (line,) = root.xpath("//*[@data-of='length']")
    assert line.get("data-letter") == "L"
    assert "L" in [text.text for text in root.iter("{*}text")]
    panels = root.xpath("//*[@data-panel]")
    assert len(panels) == 9  # base, walls and tabs, folded
