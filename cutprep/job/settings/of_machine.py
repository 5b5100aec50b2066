"""Settings of the machine, its blade, and of what is written."""

from __future__ import annotations

from cutprep.job.settings import compound, forms
from cutprep.job.settings.setting import Group, Setting
from cutprep.job.sides.asked import FROM_BACK, TURN_BY
from cutprep.profile.languages import LANGUAGES
from cutprep.profile.stock import PASSES
from cutprep.stages.blade.cutting import BY, SCORED, Bridges, Passes, Perforation
from cutprep.stages.nest.nesting import USUAL_LIMITS

#: What can be written beside machine files and sheets to read.
ALSO = ("svg", "dxf", "pdf", "pictures", "class-sheet")
LENGTHS_IN = ("mm", "cm", "in")
_MOST_STUDENTS = 1000

BLADE = (
    Setting(
        name="machine",
        group=Group.BLADE,
        form=forms.profile(),
        help="Machine profile, or a .toml file.",
        default="mat-cutter-300",
    ),
    Setting(
        name="language",
        group=Group.BLADE,
        form=forms.choice(LANGUAGES),
        help="hpgl, gcode, or svg or dxf for machines that take only a drawing.",
        otherwise="what the machine prefers",
    ),
    Setting(
        name="blade_offset",
        group=Group.BLADE,
        form=forms.length(most=5.0),
        help="Offset of the knife's tip.",
        otherwise="the machine's",
    ),
    Setting(
        name="passes_count",
        group=Group.BLADE,
        form=forms.whole(**PASSES),
        help="How often cuts are run.",
        otherwise="the stock's",
        key="passes.count",
    ),
    Setting(
        name="passes_force",
        group=Group.BLADE,
        form=compound.numbers(),
        help="Force of each pass, in the machine's unit; the last stands for all that follow.",
        otherwise="the tool's",
        key="passes.force",
    ),
    Setting(
        name="passes_by",
        group=Group.BLADE,
        form=forms.choice(BY),
        help="Repeat each outline, or the whole sheet.",
        otherwise=Passes().by,
        key="passes.by",
    ),
    Setting(
        name="bridges_count",
        group=Group.BLADE,
        form=forms.whole(most=100),
        help="How many bridges hold each outline in its sheet.",
        otherwise="by their spacing",
        key="bridges.count",
    ),
    Setting(
        name="bridges_spacing",
        group=Group.BLADE,
        form=forms.length(least=1, most=2000),
        help="How far bridges are apart, about.",
        otherwise=forms.in_mm(Bridges().spacing),
        key="bridges.spacing",
    ),
    Setting(
        name="bridges_width",
        group=Group.BLADE,
        form=forms.length(least=0.05, most=10),
        help="Width of a bridge.",
        otherwise=forms.in_mm(Bridges().width),
        key="bridges.width",
    ),
    Setting(
        name="bridges_clear",
        group=Group.BLADE,
        form=forms.length(most=50),
        help="How far bridges stay clear of corners and folds.",
        otherwise=forms.in_mm(Bridges().clear),
        key="bridges.clear",
    ),
    Setting(
        name="perforation_cut",
        group=Group.BLADE,
        form=forms.length(least=0.1, most=100),
        help="Length of the cuts of broken lines.",
        more="also of scores on a machine that scores by perforation",
        otherwise=f"{forms.in_mm(Perforation().cut)}; scores {forms.in_mm(SCORED.cut)}",
        key="perforation.cut",
    ),
    Setting(
        name="perforation_gap",
        group=Group.BLADE,
        form=forms.length(least=0.1, most=100),
        help="Length left between the cuts of broken lines.",
        otherwise=f"{forms.in_mm(Perforation().gap)}; scores {forms.in_mm(SCORED.gap)}",
        key="perforation.gap",
    ),
    Setting(
        name="from_back",
        group=Group.BLADE,
        form=forms.choice(tuple(FROM_BACK)),
        help="Scores that are made from the back first, before the sheet is turned over: nothing, mountains or valleys.",
        default="nothing",
    ),
    Setting(
        name="turn_by",
        group=Group.BLADE,
        form=forms.choice(TURN_BY),
        help="What a turned sheet is laid by: its edges, or marks, four small crosses cut through its corners.",
        default="edges",
    ),
    Setting(
        name="align",
        group=Group.BLADE,
        form=compound.points(),
        help="A point of the plan, and where it really lies on the mat.",
        more='tables `[[align]]` with `plan = ["10mm", "10mm"]` and `mat = ["10.4mm", "9.8mm"]`, for two to four points',
        default=(),
        remembered=False,
    ),
    Setting(
        name="align_off",
        group=Group.BLADE,
        form=forms.length(),
        help="How far a point may be off when all are aligned.",
        default=USUAL_LIMITS.off,
    ),
    Setting(
        name="align_scale",
        group=Group.BLADE,
        form=forms.number(least=0, most=10),
        help="How much larger or smaller than the plan a sheet may be, percent.",
        default=USUAL_LIMITS.scale,
    ),
    Setting(
        name="align_skew",
        group=Group.BLADE,
        form=forms.number(least=0, most=5),
        help="How far from a right angle a sheet may be slanted, degrees.",
        default=USUAL_LIMITS.skew,
    ),
)

OUTPUT = (
    Setting(
        name="title",
        group=Group.OUTPUT,
        form=forms.text(),
        help="Title of the job sheet.",
        otherwise="the job file's name, or the drawings'",
        remembered=False,
    ),
    Setting(
        name="unit",
        group=Group.OUTPUT,
        form=forms.choice(LENGTHS_IN),
        help="How the sheets that people read give lengths: mm, cm or in.",
        default="mm",
        key="lengths_in",
        option="--lengths-in",
    ),
    Setting(
        name="also",
        group=Group.OUTPUT,
        form=compound.words(ALSO),
        help="Write more: svg, dxf, pdf, pictures or class-sheet; may be repeated.",
        default=(),
    ),
    Setting(
        name="students",
        group=Group.OUTPUT,
        form=forms.whole(most=_MOST_STUDENTS),
        help="How many students the class sheet is for.",
        default=0,
    ),
)
