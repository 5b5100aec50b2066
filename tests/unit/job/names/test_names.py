"""A text of its own on each copy: each once, inside its part, as high as asked or listed as smaller."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
import shapely
from fontTools.ttLib import TTFont

import cutprep
from cutprep.errors import CutprepError
from cutprep.geometry.placed import placed_lines
from cutprep.job.api import make_job
from cutprep.job.folder.verify import verify
from cutprep.job.names.fonts import Font
from cutprep.job.pipeline import run
from cutprep.model.operation import Operation
from cutprep.report.outcome import Outcome
from cutprep.template.letters import letters

TAG = """<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm" viewBox="0 0 80 40">
<g id="cut" fill="none" stroke="#000"><rect x="0" y="0" width="80" height="40"/><circle cx="6" cy="6" r="2"/></g>
<g id="draw"><text x="40" y="25" font-size="10" text-anchor="middle">{name}</text></g></svg>
"""
#: Sixty names of fair helpers, made up: accents, repeats of none, a few long ones.
GIVEN = [
    "Ana",
    "Béla",
    "Chloë",
    "Dušan",
    "Émile",
    "Fjóla",
    "Gül",
    "Håkon",
    "Íris",
    "Jürgen",
    "Kåre",
    "Łucja",
    "Måns",
    "Núria",
    "Øyvind",
    "Pål",
    "Quirin",
    "Rózsa",
    "Şebnem",
    "Tõnu",
    "Ümit",
    "Vít",
    "Wanda",
    "Xènia",
    "Ýmir",
    "Žofia",
    "Ñusta",
    "Ėva",
    "Őrs",
    "Ģirts",
]
SIXTY = [f"{name} {more}".strip() for more in ("", "Ahlgrén-Brønsted") for name in GIVEN]

LONG = "Ģirts Ahlgrén-Brønsted and Rózsa"


@pytest.fixture
def tag(tmp_path: Path) -> Path:
    path = tmp_path / "tag.svg"
    path.write_text(TAG, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Outcome, Path]:
    """Sixty tags with a name each, worked out and written once."""
    folder = tmp_path_factory.mktemp("sixty")
    (folder / "tag.svg").write_text(TAG, encoding="utf-8")
    return cutprep.prepare(folder / "tag.svg", names=SIXTY, out=folder / "o", effort="quick"), folder / "o"


@pytest.fixture(scope="module")
def sixty(written: tuple[Outcome, Path]) -> Outcome:
    return written[0]


def inked(outcome: Outcome) -> list[tuple[str, shapely.Geometry, shapely.Polygon]]:
    """Text of each copy, what is drawn on it, and its outline on the sheet."""
    found = []
    for done in outcome.sheets:
        placed = placed_lines(done.sheet)
        for number, spot in enumerate(done.sheet.placements):
            rows = np.flatnonzero(placed.placement == number)
            lines = placed.lines.take(rows)
            drawn = [lines.points(i) for i in np.flatnonzero(lines.operation == Operation.DRAW)]
            outline = shapely.Polygon(lines.points(int(np.flatnonzero(placed.outline[rows])[0])))
            text = done.sheet.templates[spot.template].text
            found.append((text, shapely.MultiLineString(drawn), outline))
    return found


def test_sixty_tags_each_name_once_and_none_outside_its_tag(sixty: Outcome) -> None:
    found = inked(sixty)
    assert sorted(text for text, _, _ in found) == sorted(SIXTY)
    for text, ink, outline in found:
        assert outline.buffer(-1.4).contains(ink), text
        assert outline.centroid.distance(ink.envelope.centroid) < 8, text
    assert len(sixty.sheets) == sixty.runs > 1  # no two sheets say the same
    copies = [
        (s.copy, done.sheet.templates[s.template].text)
        for done in sixty.sheets
        for s in done.sheet.placements
    ]
    assert [text for _, text in sorted(copies)] == SIXTY


def test_the_nest_is_that_of_plain_tags(tag: Path, sixty: Outcome) -> None:
    """Equal outlines are one item, whatever is written on them."""
    plain = run(make_job(tag, copies=60, effort="quick"))

    def spots(outcome: Outcome) -> Counter[tuple[float, float, float]]:
        found: Counter[tuple[float, float, float]] = Counter()
        for done in outcome.sheets:
            for spot in done.sheet.placements:
                found[spot.x, spot.y, spot.turn] += done.runs
        return found

    assert spots(sixty) == spots(plain)


def test_long_names_shrink_and_are_listed(tag: Path) -> None:
    outcome = run(make_job(tag, names=["Ana", LONG], effort="quick"))
    (told,) = (f for f in outcome.findings if f.code == "name-smaller")
    assert told.problem.startswith("1 text of 'tag' is written smaller to fit: 'Ģirts")
    assert told.measure is not None
    heights = {text: ink.bounds[3] - ink.bounds[1] for text, ink, _ in inked(outcome)}
    # Capitals are 0.7 of the font size of 10 mm: the drawing's own height.
    assert heights["Ana"] == pytest.approx(7.0, abs=0.35)
    assert 2.5 <= told.measure < 7.0
    width = letters(LONG, told.measure)[1]
    assert 70 < width < 77.5  # as large as the room allows, within a step


@pytest.mark.parametrize(
    ("names", "settings", "words"),
    [
        (["Ana", "Σοφία", "Ωmega"], {}, "no 'Σ' in 'Σοφία'; .*'Ω' in 'Ωmega'"),
        (["x" * 200, "Ana"], {}, "is too long for 'tag', even with capitals of 2.5 mm.*--least-height"),
        (["Ana"], {"amount": "sheet"}, "says how many copies are made"),
        (["Ana"], {"font": "no such font"}, "no font 'no such font'"),
        (["Ana"], {"font": "none.ttf"}, "no font file 'none.ttf'"),
        ([], {}, "holds no name"),
    ],
)
def test_what_can_t_be_written_is_said_before_the_layout(
    names: list[str], settings: dict[str, str], words: str, tag: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("cutprep.job.pipeline.lay_out", None)
    with pytest.raises(CutprepError, match=words):
        run(make_job(tag, names=names, **settings))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ('y="25"', 'y="90"', "lies on no part"),
        (
            '<g id="draw">',
            '<g id="cut-text">',
            "layer 'cut-text' for 'cut'; texts are drawn, scored or printed",
        ),
        ("{name}", "{table} {name}", "no column 'table'"),
        ("{name}", "hello", "'tag.svg' has no place for one"),
    ],
)
def test_a_place_that_can_t_be_used_is_said(before: str, after: str, words: str, tag: Path) -> None:
    tag.write_text(TAG.replace(before, after), encoding="utf-8")
    with pytest.raises(CutprepError, match=words):
        run(make_job(tag, names=["Ana"]))


def test_a_score_layer_has_names_scored(tag: Path) -> None:
    tag.write_text(TAG.replace('<g id="draw">', '<g id="score">'), encoding="utf-8")
    (done,) = run(make_job(tag, names=["Ana"])).sheets
    assert done.score > 20
    assert done.draw == 0


def test_sets_and_copies_repeat_the_list(tag: Path) -> None:
    outcome = run(make_job(tag, names=["Ana", "Zoë"], copies=2, sets=2, spare=50, effort="quick"))
    assert Counter(text for text, _, _ in inked(outcome)) == {"Ana": 4, "Zoë": 4}


def test_a_card_face_down_mirrors_what_is_written(tag: Path) -> None:
    ((_, one, outline),) = inked(run(make_job(tag, names=["F"])))
    ((_, other, turned),) = inked(run(make_job(tag, names=["F"], face_down=True)))
    shifted = shapely.affinity.translate(one, -outline.bounds[0], -outline.bounds[1])
    mirrored = shapely.affinity.scale(shifted, -1, 1, origin=(40, 0))
    back = shapely.affinity.translate(other, -turned.bounds[0], -turned.bounds[1])
    assert mirrored.hausdorff_distance(back) < 1e-9


def test_job_json_and_job_sheet_say_which_name_lies_where(written: tuple[Outcome, Path]) -> None:
    _, out = written
    data = json.loads((out / "job.json").read_text(encoding="utf-8"))
    where = {p["text"]: (sheet["number"], p["copy"]) for sheet in data["sheets"] for p in sheet["placements"]}
    assert len(where) == 60
    page = (out / "job-sheet.html").read_text(encoding="utf-8")
    for text, (sheet, copy) in where.items():
        assert re.search(rf"<li>{re.escape(text)} <small>sheet {sheet}, A{copy}</small>", page), text
    rows = re.findall(r"<li>([^<]*) <small>sheet", page)
    assert rows.index("Émile") < rows.index("Fjóla") < rows.index("Łucja")  # accents overlooked
    assert verify(out).sound


def test_places_of_an_earlier_job_keep_their_names(tag: Path, tmp_path: Path) -> None:
    first = cutprep.prepare(tag, names=SIXTY[:7], out=tmp_path / "o", effort="quick")
    again = run(make_job(tag, names=SIXTY[:7], places=tmp_path / "o" / "job.json"))
    assert [(t, o.bounds) for t, _, o in inked(first)] == [(t, o.bounds) for t, _, o in inked(again)]
    with pytest.raises(CutprepError, match="7 copies of 'tag' are placed, and its list has 8 texts"):
        run(make_job(tag, names=SIXTY[:8], places=tmp_path / "o" / "job.json"))


def test_a_font_s_outlines_are_drawn_and_its_licence_is_told(tag: Path) -> None:
    """DejaVu Sans as matplotlib ships it; its own tables say how high a capital is."""
    font = Path(mpl.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
    outcome = run(make_job(tag, names=["HO", "Ђ"], font=font, effort="quick"))
    found = {text: (ink, outline) for text, ink, outline in inked(outcome)}
    ink = found["HO"][0]
    (left, right) = sorted(ink.geoms, key=lambda g: g.bounds[0])[:2]
    assert all(line.is_closed for line in ink.geoms)
    assert left.bounds[3] - left.bounds[1] == pytest.approx(7.0, abs=0.05)  # the H
    assert right.bounds[0] > left.bounds[2]
    (told,) = (f for f in outcome.findings if f.code == "font-licence")
    assert "DejaVu Sans" in told.problem
    assert "Bitstream" in told.problem
    with pytest.raises(CutprepError, match="the font DejaVu Sans has no '語' in '語'"):
        run(make_job(tag, names=["語"], font=font))


def test_a_drawing_with_a_place_and_no_list_is_warned_of(tag: Path) -> None:
    outcome = run(make_job(tag))
    assert [f.code for f in outcome.findings if f.severity.value == "warning"] == ["name-place-empty"]


def test_a_folded_tag_keeps_names_off_its_fold(tag: Path) -> None:
    scored = TAG.replace("</svg>", '<g id="score"><path d="M40 0V40" fill="none" stroke="#000"/></g></svg>')
    tag.write_text(scored, encoding="utf-8")
    with pytest.raises(CutprepError, match="is too long"):
        run(make_job(tag, names=["Ana"]))
    tag.write_text(scored.replace('x="40" y="25"', 'x="60" y="25"'), encoding="utf-8")
    ((_, ink, outline),) = inked(run(make_job(tag, names=["Ana Ahlgrén"])))
    middle = outline.centroid.x
    assert ink.bounds[0] > middle + 1.4 or ink.bounds[2] < middle - 1.4


def test_the_height_of_capitals_that_a_font_tells_is_believed() -> None:
    """Else that of its H: so a name is as high as the drawing's own place for it."""
    path = Path(mpl.get_data_path()) / "fonts" / "ttf" / "STIXGeneral.ttf"
    table = TTFont(path)
    heights = []
    for said in (table["OS/2"].sCapHeight / 2, 0):
        table["OS/2"].sCapHeight = said
        rings, _ = Font(table, path).write("H", 10.0, 0.01)
        heights.append(max(float(points[:, 1].max()) for points, _ in rings))
    assert heights == pytest.approx([20, 10], abs=0.05)
