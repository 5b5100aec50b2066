"""Each kind keeps what it states: area, blank and volume by closed forms, and how it folds."""

from __future__ import annotations

import re
import zlib

import numpy as np
import pytest
import shapely

from cutprep.errors import JobError
from cutprep.job.gallery import drawn_picture, gallery
from cutprep.model.findings.finding import Severity
from cutprep.model.folded import FoldReport
from cutprep.stages.check.inspect import check
from cutprep.stages.divide import divide
from cutprep.stages.fold.fit.pairs import found_fits
from cutprep.stages.fold.plan import fold
from cutprep.template.dimensions import Values
from cutprep.template.kind import KindOfTemplate
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance
from tests.folding import folded_kind

#: A kind that disappears from the product is missed by tests/house/test_mirror.py.
NAMES = (
    "tray", "tray-with-lid", "hinged-box", "shoulder-box", "drawer-and-sleeve", "polygon-box", "cake-slice", "tuck-carton", "sleeve", "prism-carton", "gathered-box", "pyramid", "pillow-box",
    "envelope", "divider", "swing-tag", "band", "lace", "locked-band", "folded-card", "place-card", "envelope-liner", "milk-carton", "gable-box",
    "pop-up-stair", "gusseted-bag", "cup", "cone", "star-box", "exploding-box", "treat-box",
)  # fmt: skip
CALIPERS = (0.0, 0.27, 0.42, 1.0)
_NUMBER = re.compile(r"-?\d+\.?\d*")


def sizes(kind: KindOfTemplate, seed: int) -> Values:
    """Dimensions by lot, half of them in eighths of an inch, that make sense together."""
    rng = np.random.default_rng([zlib.crc32(kind.name.encode()), seed])
    for _ in range(200):
        given = {}
        for d in kind.dimensions:
            if d.choices or d.text or d.name == "caliper":
                continue
            value = d.default * rng.uniform(0.6, 1.7)
            unit = 1.0 if d.count else 3.175 if rng.random() < 0.5 and d.default > 6 else 0.5
            given[d.name] = float(min(d.most, max(d.least, round(value / unit) * unit)))
        if "caliper" in {d.name for d in kind.dimensions}:
            given["caliper"] = float(rng.choice(CALIPERS))
        try:
            kind.from_values(**given)
        except JobError:
            continue
        return kind.values(**given)
    raise AssertionError(f"no dimensions of {kind.name} make sense")


def faults(kind: KindOfTemplate, d: Values, reports: tuple[FoldReport, ...] | None = None) -> list[str]:
    """What a template of these dimensions does not keep of what its kind states; `reports` when it is folded."""
    said, found = kind.expect(d), []
    drawing = kind.from_values(**d)
    tolerance, caliper = Tolerance(), d.get("caliper", 0.0)
    told = check(drawing, tolerance, blade_offset=0.25)
    found += [str(f) for f in told if f.severity is not Severity.NOTE]
    template = divide(drawing, tolerance)
    area = sum(
        shapely.Polygon(template.lines.points(p.outline), [template.lines.points(h) for h in p.holes]).area
        for p in template.parts
    )
    # Chords of curves leave out some of what a circle covers: 0.02 mm at most along the curve.
    lines = drawing.lines
    bent = [bool(lines.curved[lines.start[i] : lines.start[i + 1]].any()) for i in range(len(lines))]
    curved = float(lines.lengths[bent].sum())
    if said.area is not None and abs(area - said.area) > 1e-6 * said.area + 0.02 * curved:
        found.append(f"area {area:.3f}, stated {said.area:.3f}")
    if said.blank is not None and drawing.page != pytest.approx(said.blank, abs=0.05 if curved else 1e-6):
        found.append(f"blank {drawing.page}, stated {said.blank}")
    reports = reports or fold(drawing, thickness=caliper, tolerance=tolerance)
    if sorted(r.verdict.value for r in reports) != sorted(v.value for v in said.verdicts):
        found.append(f"verdicts {[r.verdict.value for r in reports]}")
        return found
    bad = [
        m for r in reports for m in r.messages if m.severity is not Severity.NOTE and m.code not in said.told
    ]
    found += [f"fold: {m.code}: {m.problem}" for m in bad]
    inside = [sorted(r.inside_mm) for r in reports if r.inside_mm is not None]
    if said.inside is not None and not any(
        sorted(said.inside) == pytest.approx(one, abs=0.05) for one in inside
    ):
        found.append(f"inside {inside}, stated {said.inside}")
    if said.play is not None:
        fits = [one for _, _, one in found_fits(reports)]
        # Layers that stand in one another with room to spare are no fit to tell; their lid is.
        least = 1 if kind.name == "exploding-box" else len(reports) - 1
        if len(fits) < least or min(one.clearance for one in fits) < said.play - 1e-3:
            found.append(f"fits {fits}, stated {said.play} mm of play")
    volumes = [r.volume_mm3 for r in reports]
    # The wall under the glue flap is a caliper narrower: a slice no larger than a wall is missing in the folded body.
    # Folding knows where a wall stands to some thousandths of a millimetre: over the whole surface, six sides of a cube or so.
    slice_ = (1.5 * caliper + 6 * 0.003) * (said.volume or 0.0) ** (2 / 3)
    if said.volume is not None and not any(
        abs(v - said.volume) < 1e-4 * said.volume + slice_ for v in volumes
    ):
        found.append(f"volume {volumes}, stated {said.volume}")
    return found


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("name", NAMES)
def test_it_keeps_what_it_states(name: str, seed: int) -> None:
    kind = KINDS[name]
    d = sizes(kind, seed)
    assert faults(kind, d) == [], dict(d)


@pytest.mark.parametrize("name", NAMES)
def test_it_keeps_what_it_states_as_it_comes(name: str) -> None:
    """Its picture too: `python -m tests.gallery` draws those that come with the program; another processor may round otherwise."""
    assert faults(KINDS[name], KINDS[name].values(), folded_kind(name)) == []
    kept = next(one for one in gallery() if one.name == name).picture
    drawn = drawn_picture(KINDS[name], folded_kind(name))
    assert _NUMBER.sub("", kept) == _NUMBER.sub("", drawn)
    at, now = (np.array(_NUMBER.findall(text), dtype=np.float64) for text in (kept, drawn))
    assert np.abs(at - now).max() < 0.1


@pytest.mark.parametrize("shape", ["square", "round", "cut"])
@pytest.mark.parametrize("ring", [0.0, 12.0])
def test_a_tag_keeps_its_shape(shape: str, ring: float) -> None:
    kind = KINDS["swing-tag"]
    assert faults(kind, kind.values(shape=shape, ring=ring)) == []


#: The glue flap has a quarter to a half of a wall's area, and the last wall narrows as it does: the smaller leaf is the flap.
FLAPS_LIKE_WALLS = (
    {"base": 47.625, "width": 70.5, "height": 117.475, "flap": 8.0, "seam": 9.525, "caliper": 0.27},
    {"base": 33.0, "width": 44.0, "height": 85.725, "flap": 6.35, "seam": 12.7, "caliper": 1.0},
    {
        "sides": 6.0,
        "base": 41.275,
        "width": 45.0,
        "height": 43.5,
        "flap": 7.0,
        "seam": 15.875,
        "caliper": 0.0,
    },
)
#: As a tube it closes nearly, with more play than the card has, or with a flap on nothing.
HARDLY_LEANING = (
    {
        "sides": 5.0,
        "base": 44.45,
        "width": 47.0,
        "height": 107.95,
        "flap": 6.35,
        "seam": 6.0,
        "caliper": 0.27,
    },
    {
        "sides": 5.0,
        "base": 41.275,
        "width": 44.45,
        "height": 97.0,
        "flap": 6.35,
        "seam": 12.7,
        "caliper": 1.0,
    },
)


@pytest.mark.parametrize("size", [*FLAPS_LIKE_WALLS, *HARDLY_LEANING])
def test_a_cup_keeps_what_it_states_however_much_it_leans(size: dict[str, float]) -> None:
    kind = KINDS["cup"]
    assert faults(kind, kind.values(**size)) == []


def test_round_corners_of_petals_that_come_near_one_another_are_no_seam() -> None:
    """In card of 1 mm two chords of such corners lay within reach, and the box was said not to close."""
    kind = KINDS["treat-box"]
    size = {"sides": 9.0, "width": 93.5, "base": 71.5, "height": 113.5, "overlap": 3.0, "petal": 60.0, "seam": 15.875, "caliper": 1.0}  # fmt: skip
    assert faults(kind, kind.values(**size)) == []


def test_the_flaps_at_the_tip_of_a_thick_slice_clear_its_glue_flap() -> None:
    kind = KINDS["cake-slice"]
    size = {"slices": 6.0, "radius": 70.5, "height": 41.275, "flap": 6.35, "seam": 14.0, "caliper": 1.0}
    assert faults(kind, kind.values(**size)) == []


def test_a_panel_that_nothing_covers_any_more_is_judged_anew() -> None:
    """What lay on it had been put aside meanwhile: folding ended with a fault of its own instead of a verdict."""
    kind = KINDS["gathered-box"]
    size = {"sides": 5.0, "width": 56.5, "height": 100.5, "gather": 50.5, "flap": 11.0, "seam": 10.0, "caliper": 1.0}  # fmt: skip
    assert faults(kind, kind.values(**size)) == []


def test_gussets_meet_where_the_last_wall_is_trimmed() -> None:
    """In thick card a half gusset at the seam is narrower than the others by the card, and is one all the same."""
    kind = KINDS["gathered-box"]
    size = {
        "sides": 6.0,
        "width": 31.75,
        "height": 46.5,
        "gather": 31.75,
        "flap": 6.5,
        "seam": 13.0,
        "caliper": 1.0,
    }
    assert faults(kind, kind.values(**size)) == []


def test_the_flaps_of_a_star_say_how_far_they_fold() -> None:
    """Beside a wall that turns at a tip, a flap could be taken for one that turns as far."""
    drawing = KINDS["star-box"].from_values(points=6.0, radius=47.5, waist=72.0, flap=10.0)
    folds = [drawing.lines.elements[k].layer for k in drawing.lines.source]
    assert folds.count("score valley 90") == 2 * 10


def test_tails_of_a_locked_band_stay_off_its_corners() -> None:
    with pytest.raises(JobError, match="nearly the whole top of 50 mm") as fault:
        KINDS["locked-band"].from_values(length=49.0, tail=22.0, caliper=1.0)
    assert fault.value.fix == "Use a tail of at most 17.5 mm."


def test_deep_curves_bend_a_pillow_and_prove_nothing() -> None:
    kind = KINDS["pillow-box"]
    assert faults(kind, kind.values(length=95.0, width=96.5, bow=19.0, seam=6.5)) == []


def test_a_template_whose_page_looks_like_a_sheet_in_another_unit_is_right() -> None:
    """It measures 0.75 times A3, and nobody took points for pixels: it says that it is in millimetres."""
    kind = KINDS["tray-with-lid"]
    size = {
        "length": 168.275,
        "width": 104.775,
        "height": 27.0,
        "tab": 22.225,
        "caliper": 0.27,
        "lid": 22.225,
        "play": 0.5,
        "apart": 4.5,
    }
    assert check(kind.from_values(**size), Tolerance(), blade_offset=0.25) == ()
