"""The gallery: every kind flat and folded, with letters where its dimensions lie."""

from __future__ import annotations

from pathlib import Path

from lxml import etree

from cutprep.job.gallery import gallery
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


def test_fields_say_what_a_form_needs() -> None:
    entry = next(one for one in gallery() if one.name == "tray")
    fields = {field.name: field for field in (*entry.fields, *entry.extras)}
    assert (fields["length"].letter, fields["length"].default) == ("L", "132mm")
    assert (fields["length"].least, fields["length"].most) == ("10mm", "1500mm")
    assert "heart" in fields["window"].choices
    assert fields["text"].default == ""
    assert entry.folds
