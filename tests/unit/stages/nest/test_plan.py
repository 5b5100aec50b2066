"""The whole nest."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from cutprep.errors import DoesNotFit, GrainConflict, PlanError
from cutprep.geometry.placed import placed_lines
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.model.sheet import Sheet
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest import plan
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.layout import improve
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.plan import nest
from cutprep.stages.nest.proof import verify_layout
from tests.unit.stages.nest.specimens import (
    box,
    carton,
    copies_in,
    ell,
    frame,
    ring,
    sheet_size,
    sheets_in,
    tag,
)

_STRIP = [(0, 0), (130, 0), (130, 35), (0, 35)]


def _notes(sheets: tuple[Sheet, ...], code: str) -> list[str]:
    return [note.problem for sheet in sheets for note in sheet.notes if note.code == code]


def test_copies_run_on_over_the_sheets() -> None:
    """Numbers, sizes, utilisation and what is said about it."""
    sheets = nest([Demand(carton(), 14)], [sheet_size()], Nesting(effort="quick", stock="card-220"))
    assert [p.copy for s in sheets for p in s.placements] == [*range(1, 7), 13, 14]
    assert [(s.number, s.runs) for s in sheets] == [(1, 2), (2, 1)]
    assert all(s.stock == "card-220" and s.margin == 5 and s.gap == 3 for s in sheets)
    area = 6663.94
    assert sheets[0].utilisation == pytest.approx(6 * area / 304.8**2, rel=1e-4)
    assert sheets[-1].utilisation == pytest.approx(2 * area / 304.8**2, rel=1e-4)
    assert "the plain grid needs 4" in _notes(sheets, "nest-method")[0]
    assert len(_notes(sheets, "left-over")) == 2


@pytest.mark.usefixtures("packer_soon")
def test_same_seed_same_layout() -> None:
    """Search and packer included."""
    runs = [nest([Demand(carton(), 7), Demand(ell(), 1)], [sheet_size()], Nesting(seed=5)) for _ in range(2)]
    assert [s.placements for s in runs[0]] == [s.placements for s in runs[1]]


def test_ten_thousand_copies_are_a_matter_of_one_pattern() -> None:
    """The pattern is found once; the last sheet holds the rest."""
    told: list[tuple[str, int, int]] = []
    sheets = nest(
        [Demand(carton(), 10_000)],
        [sheet_size()],
        Nesting(effort="quick"),
        progress=lambda *row: told.append(row),
    )
    assert copies_in(sheets) == 10_000
    assert len(sheets) <= 3
    assert len({tuple((p.x, p.y, p.turn) for p in s.placements) for s in sheets}) <= 3
    assert [row[1:] for row in told if row[0] == "nest"][-1] == (9_996, 10_000)  # the rest is the last sheet


def test_several_templates_share_sheets() -> None:
    """Tags go where the cartons leave usable area."""
    sheets = nest([Demand(carton(), 6), Demand(tag(), 4)], [sheet_size()], Nesting(effort="quick"))
    assert len(sheets) == 1


def test_keep_out_mirror_and_windows() -> None:
    """Each option reaches the layout; the proof inside nest holds."""
    area = (0.0, 0.0, 304.8, 100.0)
    sheets = nest([Demand(ell(), 8, mirror=True)], [sheet_size()], Nesting(effort="quick", keep_out=[area]))
    assert min(p.y for p in sheets[0].placements) > 90
    small = [Demand(frame(120, 80), 1), Demand(box(30, 30), 4)]
    assert sheets_in(nest(small, [sheet_size(140, 140)], Nesting(effort="quick", windows=True))) == 1
    assert sheets_in(nest(small, [sheet_size(140, 140)], Nesting(effort="quick"))) > 1


def test_cuts_are_shared_at_gap_0_only() -> None:
    """And when asked for."""
    demands, size = [Demand(box(60, 40), 12)], [sheet_size()]
    shared = nest(demands, size, Nesting(gap=0.0, effort="quick"))
    # Four by three of them: 3 x 3 edges of 40 mm and 4 x 2 of 60 mm.
    assert _notes(shared, "shared-cuts") == [
        "17 edges of neighbouring copies are cut once: 840 mm less to cut"
    ]
    assert len(shared[0].extra) == 11
    for kwargs in ({"gap": 0.0, "share_cuts": False}, {"gap": 1.0}):
        assert not _notes(nest(demands, size, Nesting(effort="quick", **kwargs)), "shared-cuts")  # type: ignore[arg-type]


def test_grain_limits_turns() -> None:
    """Folds along x, grain along y: every copy is turned by a quarter."""
    sheets = nest([Demand(box(60, 40, grain=0.0), 10)], [sheet_size()], Nesting(grain=90.0, effort="quick"))
    assert {p.turn % 180 for s in sheets for p in s.placements} == {90.0}
    with pytest.raises(GrainConflict):
        nest([Demand(box(60, 40, grain=0.0), 10, "half")], [sheet_size()], Nesting(grain=90.0))


@pytest.mark.parametrize(
    ("template", "turns", "message"),
    [
        (
            box(390, 10),
            "quarter",
            r"390.0 x 10.0 mm.*too large by 95.2 mm in width.*fit turned by 4\d degrees",
        ),
        (box(500, 20), "free", r"at least \d+.\d x \d+.\d mm would do"),
        (box(200, 100), "half", r"fit turned by 90 degrees: allow quarter turns"),
        (box(300, 300), "quarter", r"by 5.2 mm in width and 5.2 mm in height.*margin of 2.4 mm"),
    ],
)
def test_too_large_says_by_how_much_and_what_would_do(template: object, turns: str, message: str) -> None:
    """In every allowed turn, on every sheet."""
    size = sheet_size(120, 304.8) if turns == "half" else sheet_size()
    with pytest.raises(DoesNotFit, match=message):
        nest([Demand(template, 1, turns)], [size])  # type: ignore[arg-type]


def test_too_few_sheets_say_how_many_copies_fit() -> None:
    """Of one template copies, of several full sets."""
    size = SheetSize("12in", 304.8, 304.8, at_hand=2)
    with pytest.raises(PlanError, match=r"2 of 12in\) hold 18 copies of 'divider'; 20 are asked for"):
        nest([Demand(box(90, 90), 20)], [size], Nesting(effort="quick"))
    with pytest.raises(PlanError, match=r"hold [67] full sets \(1 x 'divider' \+ 2 x 'swing tag'\); 9 are"):
        nest([Demand(box(90, 90), 9), Demand(tag(), 18)], [replace(size, at_hand=1)], Nesting(effort="quick"))


@pytest.mark.parametrize(
    ("kwargs", "word"),
    [
        ({"margin": 160.0}, "leaves no room"),
        ({"gap": -1.0}, "gap is -1"),
        ({"effort": "huge"}, "effort 'huge'"),
    ],
)
def test_bad_input_is_refused(kwargs: dict[str, object], word: str) -> None:
    """With a way out."""
    with pytest.raises(PlanError, match=word):
        nest([Demand(tag(), 1)], [sheet_size()], Nesting(**kwargs))  # type: ignore[arg-type]
    with pytest.raises(PlanError, match="no copies"):
        nest([Demand(tag(), 0)], [sheet_size()])


def test_an_interrupt_takes_the_best_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C during the search keeps the quick layout, and says so."""

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(improve, "reach", interrupted)
    sheets = nest([Demand(carton(), 13)], [sheet_size()])
    assert copies_in(sheets) == 13
    assert any("stopped" in text for text in _notes(sheets, "nest-stopped"))


def test_every_layout_passes_the_proof() -> None:
    """Checked again from outside, with everything that was asked."""
    demands = [Demand(carton(), 3, "free"), Demand(ell(), 5), Demand(tag(), 13, "half")]
    sheets = nest(demands, [sheet_size(), sheet_size(210, 297)], Nesting(effort="quick"))
    assert verify_layout(sheets, demands=demands) == ()


def test_parts_may_lie_apart() -> None:
    """Three strips that are far from each other in the drawing: together two copies a sheet, apart four."""
    strips = Template(
        "slats",
        Lines.of([ring([(x, y + 120 * k) for x, y in _STRIP]) for k in range(3)], operation=Operation.CUT),
        (Part(0), Part(1, name="middle"), Part(2)),
    )
    whole = nest([Demand(strips, 4)], [sheet_size()], Nesting(effort="quick"))
    demands = [Demand(strips, 4, apart=True)]
    apart = nest(demands, [sheet_size()], Nesting(effort="quick"))
    assert (sheets_in(whole), sheets_in(apart)) == (2, 1)
    assert sorted(p.part for p in apart[0].placements) == [0] * 4 + [1] * 4 + [2] * 4  # type: ignore[type-var]
    assert apart[0].templates == (strips,)
    assert len(placed_lines(apart[0]).lines) == 12
    assert verify_layout(apart, demands=demands) == ()
    assert verify_layout(apart, demands=[Demand(strips, 3, apart=True)])[0].measure == 4


def test_a_failing_search_leaves_the_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    """The geometry library may trip over its own rounding; the job goes on with the plain grid, and says so."""

    def trip(*_: object) -> object:
        raise shapely.GEOSException("TopologyException: ring edge missing")

    monkeypatch.setattr(plan, "quick_layout", trip)
    sheets = nest([Demand(carton(), 9)], [sheet_size()], Nesting(effort="quick"))
    assert copies_in(sheets) == 9
    assert any("search failed" in f.problem for sheet in sheets for f in sheet.notes)
    assert verify_layout(sheets) == ()
