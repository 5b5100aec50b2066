"""docs/TEMPLATES.md and the code agree: every kind has a row, and the sizes that it gives are those drawn."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from cutprep.template.kinds import KINDS
from tests.gallery import page_of

PAGE = (Path(__file__).parents[3] / "docs/TEMPLATES.md").read_text(encoding="utf-8")
ROWS = dict(re.findall(r"^\| `([\w-]+)` \| (.*) \|$", PAGE.split("## Pictures")[0], re.MULTILINE))
L, W, H, T, SEAM, TUCK = 70.0, 45.0, 80.0, 0.4, 12.0, 15.0

#: Kind, dimensions, words of the page, and the size that they give.
SIZES = [
    (
        "tray",
        {"length": L, "width": W, "height": H, "tab": 14, "caliper": T},
        "(L + t + 2 (H + t/2)) by (W + t + 2 (H + t/2))",
        (L + T + 2 * (H + T / 2), W + T + 2 * (H + T / 2)),
    ),
    (
        "tuck-carton",
        {"length": L, "width": W, "height": H, "tuck": TUCK, "seam": SEAM, "caliper": T},
        "2 (L + W) + 3t + seam by H + t + 2 (W + t/2 + tuck)",
        (2 * (L + W) + 3 * T + SEAM, H + T + 2 * (W + T / 2 + TUCK)),
    ),
    (
        "sleeve",
        {"length": L, "width": W, "height": H, "seam": SEAM, "caliper": T},
        "2 (L + W) + 3t + seam by H",
        (2 * (L + W) + 3 * T + SEAM, H),
    ),
    (
        "band",
        {"length": L, "height": H, "width": 25, "overlap": TUCK, "caliper": T},
        "2 (L + H) + 3t + overlap by `width`",
        (2 * (L + H) + 3 * T + TUCK, 25),
    ),
]


def test_every_kind_has_a_row_and_no_row_is_left_over() -> None:
    assert set(ROWS) == set(KINDS)
    for name, row in ROWS.items():
        assert row.count("|") == 1, name  # arithmetic and source


@pytest.mark.parametrize(("kind", "values", "words", "size"), SIZES, ids=[row[0] for row in SIZES])
def test_sizes_are_as_the_page_says(
    kind: str, values: dict[str, float], words: str, size: tuple[float, float]
) -> None:
    assert words in ROWS[kind]
    assert KINDS[kind].from_values(**values).page == pytest.approx(size)


def test_the_sides_of_a_prism_are_as_the_page_says() -> None:
    assert "side = (width + t) tan(180/n)" in ROWS["prism-carton"]
    assert "n side - t + seam" in ROWS["prism-carton"]
    page = KINDS["prism-carton"].from_values(sides=5, width=60, height=H, flap=7, seam=9, caliper=T).page
    assert page is not None
    assert page[0] == pytest.approx(5 * (60 + T) * math.tan(math.pi / 5) - T + 9)


def test_the_tutorial_blank_of_the_page() -> None:
    """8 1/4 by 5 3/4 in scored at 1 1/8 in gives 6 by 3 1/2 in: common practice, no published source."""
    assert "8 1/4 by 5 3/4 in scored at 1 1/8 in" in PAGE
    words = {"length": "6 in", "width": '3-1/2"', "height": "1 1/8in", "caliper": "0mm"}
    assert KINDS["tray"].from_words(words).page == pytest.approx((8.25 * 25.4, 5.75 * 25.4))


def test_the_least_depth_of_glue_is_the_page_s() -> None:
    least = {
        d.least
        for kind in KINDS.values()
        for d in kind.dimensions
        if d.name in {"tab", "flap", "seam", "tuck"} or (kind.name, d.name) == ("band", "overlap")
    }
    assert "at least 6 mm deep" in PAGE
    assert least == {6.0}


def test_the_tables_of_pictures_and_options_are_what_the_program_has() -> None:
    """`python -m tests.gallery` writes both."""
    assert page_of(PAGE) == PAGE
