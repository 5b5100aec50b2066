"""The gallery: every kind flat and folded, with letters where its dimensions lie."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from lxml import etree

from cutprep.job.gallery import _measured, gallery
from cutprep.template.kinds import KINDS
from tests.cli.test_more_commands import good, run


def test_the_page_shows_every_kind(tmp_path: Path) -> None:
    folder = tmp_path / "g"
    assert f"{len(KINDS)} kinds" in good("template", "--gallery", folder)
    page = (folder / "templates.html").read_text(encoding="utf-8")
    for name in KINDS:
        assert f'<img src="{name}.svg"' in page
        root = etree.fromstring((folder / f"{name}.svg").read_bytes())
        assert root.tag.endswith("svg")
    assert run("template", "--gallery", folder).exit_code == 2  # nothing is overwritten


@pytest.mark.parametrize(
    "name", ["tray", "tuck-carton", "prism-carton", "sleeve", "band", "divider", "swing-tag"]
)
def test_a_letter_stands_where_its_dimension_is(name: str) -> None:
    """A drawn distance is the dimension, or that and the layers of card that its arithmetic adds."""
    kind = KINDS[name]
    drawing = kind.from_values()
    lettered = 0
    for d in kind.dimensions:
        spot = _measured(kind, d, drawing)
        if spot is not None:
            assert np.hypot(*(spot[1] - spot[0])) == pytest.approx(d.default, abs=1.2)
            lettered += 1
    assert lettered >= 2


def test_fields_say_what_a_form_needs() -> None:
    entry = next(one for one in gallery() if one.name == "tray")
    fields = {field.name: field for field in (*entry.fields, *entry.extras)}
    assert (fields["length"].letter, fields["length"].default) == ("L", "132mm")
    assert (fields["length"].least, fields["length"].most) == ("10mm", "1500mm")
    assert "heart" in fields["window"].choices
    assert fields["text"].default == ""
