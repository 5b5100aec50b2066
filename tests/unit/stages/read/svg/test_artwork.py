"""What of a drawing is printed: the layers for it, whole, and nothing else."""

from __future__ import annotations

import pytest

from cutprep.errors import DrawingError
from cutprep.limits import Limits
from cutprep.model.drawing import Artwork
from cutprep.model.operation import Operation
from cutprep.model.rules import LineKind, Rules
from cutprep.stages.classify import kind_of
from cutprep.stages.read.svg.beside.artwork import read_artwork
from cutprep.tolerance import Tolerance
from tests.printed import TAG, with_print
from tests.svg_text import SPACE

PIXEL = "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNk+A8AAQUBAScY42YAAAAASUVORK5CYII="


def taken(text: str, rules: Rules | None = None) -> Artwork | None:
    return read_artwork(
        text.encode(),
        file="tag.svg",
        prints=lambda e: (
            (kind := kind_of(e, rules or Rules())) is not None and kind.operation is Operation.PRINT
        ),
        tolerance=Tolerance(),
        limits=Limits(),
    )


def test_cuts_are_taken_out_and_the_rest_stays_as_it_was_written() -> None:
    found = taken(TAG)
    assert found is not None
    assert "M5 15" not in found.svg
    assert 'fill="#f4c430"' in found.svg
    assert "<circle" in found.svg
    assert found.page == (60, 100)
    assert 'width="60" height="100"' in found.svg.replace("'", '"')


def test_a_drawing_without_such_a_layer_has_none() -> None:
    assert taken(TAG.replace('id="print"', 'id="guide"')) is None


def test_a_rule_by_colour_or_layer_places_what_is_printed() -> None:
    bare = f'<svg {SPACE} width="9mm" height="9mm" viewBox="0 0 9 9"><g id="a"><path stroke="#00f" d="M1 1h5"/><path stroke="#000" d="M1 2h5"/></g></svg>'
    by_colour = taken(bare, Rules(colours=(("#0000ff", LineKind(Operation.PRINT)),)))
    assert by_colour is not None
    assert "M1 1h5" in by_colour.svg
    assert "M1 2h5" not in by_colour.svg
    by_layer = taken(bare, Rules(layers=(("a", LineKind(Operation.PRINT)),)))
    assert by_layer is not None
    assert "M1 2h5" in by_layer.svg


def test_a_reference_shows_what_it_stands_for_though_that_is_cut() -> None:
    """The outline of a window, cut, and printed once more beside it."""
    found = taken(
        TAG.replace("<path d", '<path id="edge" d').replace(
            '<g id="print">', '<g id="print"><use href="#edge" x="1"/>'
        )
    )
    assert found is not None
    assert found.svg.count("M5 15") == 1
    assert 'href="#printed-1"' in found.svg
    assert 'id="printed-1"' in found.svg


@pytest.mark.parametrize("href", ["honey.png", "file:///etc/hosts", "http://localhost/x.png", "//x/y.jpg"])
@pytest.mark.parametrize("name", ["href", "xlink:href"])
def test_a_picture_in_another_file_is_refused(href: str, name: str) -> None:
    text = with_print(f'<image {name}="{href}" width="5" height="5"/>')
    with pytest.raises(DrawingError, match="another file"):
        taken(text.replace("<svg ", '<svg xmlns:xlink="http://www.w3.org/1999/xlink" ', 1))


def test_a_picture_in_the_file_is_kept_and_an_svg_in_a_picture_refused() -> None:
    found = taken(with_print(f'<image href="{PIXEL}" width="5" height="5"/>'))
    assert found is not None
    assert "data:image/png" in found.svg
    with pytest.raises(DrawingError, match="an SVG within it"):
        taken(with_print('<image href="data:image/svg+xml,%3Csvg/%3E" width="5" height="5"/>'))


def test_texts_are_counted_and_places_for_names_are_left_to_the_pen() -> None:
    found = taken(with_print('<text x="9" y="9">Honey</text><text x="9" y="19">{name}</text>'))
    assert found is not None
    assert found.texts == 1
    assert "{name}" not in found.svg


def test_a_page_without_a_size_is_refused() -> None:
    with pytest.raises(DrawingError, match="names no size"):
        taken(TAG.replace('width="60mm" height="100mm" viewBox="0 0 60 100"', ""))


def test_units_without_a_viewbox_are_those_of_the_page() -> None:
    found = taken(TAG.replace('viewBox="0 0 60 100"', ""))
    assert found is not None
    assert f'viewBox="0 0 {60 / 25.4 * 96:.9g} {100 / 25.4 * 96:.9g}"' in found.svg
