"""Settings of the layout and of the order of work."""

from __future__ import annotations

from typing import get_args

from cutprep.job.settings import compound, forms
from cutprep.job.settings.setting import Group, Scope, Setting
from cutprep.model.text import LEAST_HEIGHT
from cutprep.profile.stock import MOST_GRAIN
from cutprep.stages.nest.nesting import USUAL_TURNS, Nesting, Turns
from cutprep.stages.order.ordering import EFFORTS, FINISH, METRICS, Ordering

AMOUNTS = ("copies", "sheet", "stock")
MOST_COPIES = 10**9  # what is really made is limited by Limits.copies
_NESTING, _ORDERING = Nesting(), Ordering()

NAMES = (
    Setting(
        name="names",
        group=Group.NAMES,
        scope=Scope.TEMPLATE,
        form=compound.names(),
        help="What each copy says where the drawing has {name}: a file, one name a line, or a CSV.",
        more='a file, or the texts, `names = ["Ana", "Zoë"]`; a CSV has a column for each word in braces. Each text is made '
        "`copies` times, without spare ones",
        remembered=False,
    ),
    Setting(
        name="least_height",
        group=Group.NAMES,
        scope=Scope.TEMPLATE,
        form=forms.length(least=1.0, most=100.0),
        help="How low the capitals of a long text may be.",
        default=LEAST_HEIGHT,
    ),
    Setting(
        name="font",
        group=Group.NAMES,
        scope=Scope.TEMPLATE,
        form=forms.font(),
        help="Draw the outlines of this font of yours, by its name or file.",
        otherwise="single strokes",
    ),
)

LAYOUT = (
    Setting(
        name="copies",
        group=Group.LAYOUT,
        scope=Scope.TEMPLATE,
        form=forms.whole(least=1, most=MOST_COPIES),
        help="Copies of each drawing; of several sets, for one set.",
        default=1,
        remembered=False,
    ),
    Setting(
        name="sets",
        group=Group.LAYOUT,
        form=forms.whole(least=1, most=MOST_COPIES),
        help="How many sets are made.",
        default=1,
        remembered=False,
    ),
    Setting(
        name="spare",
        group=Group.LAYOUT,
        scope=Scope.TEMPLATE,
        form=forms.number(most=100),
        help="Percent of the copies made on top.",
        default=0.0,
    ),
    Setting(
        name="amount",
        group=Group.LAYOUT,
        form=forms.choice(AMOUNTS),
        help="copies; or as many as one sheet holds; or as the stock at hand holds.",
        more="`stock`: as many full sets as the sheets at hand hold",
        default="copies",
        remembered=False,
    ),
    Setting(
        name="gap",
        group=Group.LAYOUT,
        form=forms.length(),
        help="Least distance between parts.",
        default=_NESTING.gap,
    ),
    Setting(
        name="margin",
        group=Group.LAYOUT,
        form=forms.length(),
        help="Border of the sheet kept free.",
        default=_NESTING.margin,
    ),
    Setting(
        name="printer_edge",
        group=Group.LAYOUT,
        form=forms.length(),
        help="Border that your printer leaves white: for sheets that are printed before they are cut.",
        more="where a layer is for printing, parts and register marks stay clear of it (docs/PRINTING.md)",
        default=5.0,
    ),
    Setting(
        name="turns",
        group=Group.LAYOUT,
        scope=Scope.TEMPLATE,
        form=forms.choice(get_args(Turns)),
        help="How copies may be turned: never (patterned card), half, quarter or free.",
        more="`never`: what is up in the drawing is up on the sheet as it lies in the machine",
        default=USUAL_TURNS,
    ),
    Setting(
        name="mirror",
        group=Group.LAYOUT,
        scope=Scope.TEMPLATE,
        form=forms.flag(),
        help="Copies may be turned over.",
        default=False,
    ),
    Setting(
        name="pieces_apart",
        group=Group.LAYOUT,
        scope=Scope.TEMPLATE,
        form=forms.flag(),
        help="Lay each piece of a drawing by itself, not all of them as they are drawn.",
        more="trays and their lids then lie as they fit best, and often take fewer sheets; a note says where they "
        "would",
        default=False,
    ),
    Setting(
        name="grain",
        group=Group.LAYOUT,
        scope=Scope.TEMPLATE,
        form=forms.number(most=MOST_GRAIN),
        help="Direction in the drawing that shall lie along the card's grain, degrees.",
        otherwise="the main folds",
        remembered=False,
    ),
    Setting(
        name="windows",
        group=Group.LAYOUT,
        form=forms.flag(),
        help="Parts may lie in the waste windows of others.",
        default=_NESTING.windows,
    ),
    Setting(
        name="keep_out",
        group=Group.LAYOUT,
        form=compound.areas(),
        help="Area of every sheet that stays free: 0mm,0mm,50mm,80mm; "
        "or a drawing of what is used already: used.svg, used.svg:LAYER.",
        more="tables `[[keep_out]]` with `left`, `bottom`, `right`, `top`; or with `drawing`, an SVG or DXF of the "
        "sheet whose closed cuts (with `layer`: whose closed lines on it) are used already and are kept clear of "
        "by the gap. The drawing of an earlier job, made with `--also svg`, will do",
        default=(),
        remembered=False,
    ),
    Setting(
        name="places",
        group=Group.LAYOUT,
        form=forms.file_name("JOB.JSON"),
        help="Lay copies where this job.json says; checked, never moved.",
        remembered=False,
    ),
    Setting(
        name="lay_rest",
        group=Group.LAYOUT,
        form=forms.flag(),
        help="Lay the copies that no hand has placed round those that it has.",
        more="placed copies stay where they are, all but those marked `loose`; `copies` counts again, and what has no "
        "room beside them goes on new sheets",
        default=False,
        remembered=False,
    ),
    Setting(
        name="effort",
        group=Group.LAYOUT,
        form=forms.choice(tuple(EFFORTS)),
        help="How hard to look, for a layout and for an order: quick, normal or thorough.",
        default=_NESTING.effort,
    ),
    Setting(
        name="seed",
        group=Group.LAYOUT,
        form=forms.whole(most=2**31),
        help="Same seed, same result.",
        default=_NESTING.seed,
        remembered=False,
    ),
)

ORDER = (
    Setting(
        name="finish",
        group=Group.ORDER,
        form=forms.choice(FINISH),
        help="Finish each stage over the sheet, or each copy.",
        more="`sheet`: each stage over the whole sheet; `copy`: each copy before the next",
        default=_ORDERING.finish,
    ),
    Setting(
        name="travel_by",
        group=Group.ORDER,
        form=forms.choice(METRICS),
        help="Measure travel by length or by time.",
        default=_ORDERING.metric,
    ),
    Setting(
        name="explain",
        group=Group.ORDER,
        form=forms.flag(),
        help="Say why each stroke stands where it does.",
        default=_ORDERING.explain,
    ),
)
