"""All kinds of templates by name."""

from __future__ import annotations

from cutprep.errors import JobError
from cutprep.tables import suggest
from cutprep.template.boxes.hinged import HINGED
from cutprep.template.boxes.loose import EXPLODING, STAR
from cutprep.template.boxes.point import GATHERED, PYRAMID
from cutprep.template.boxes.polygon import POLYGON_BOX, SLICE
from cutprep.template.boxes.prism import PRISM
from cutprep.template.boxes.sets import DRAWER, SHOULDER
from cutprep.template.boxes.taper import CONE, CUP
from cutprep.template.boxes.tray import TRAY, TRAY_WITH_LID
from cutprep.template.boxes.treat import TREAT
from cutprep.template.cartons.bag import BAG
from cutprep.template.cartons.ridge import GABLE_BOX, MILK_CARTON
from cutprep.template.cartons.tube import BAND, SLEEVE, TUCK_CARTON
from cutprep.template.flats.cards import FOLDED_CARD, LINER, LOCKED_BAND, PLACE_CARD
from cutprep.template.flats.flat import DIVIDER, LACE, TAG
from cutprep.template.flats.popup import STAIR
from cutprep.template.flats.soft import ENVELOPE, PILLOW
from cutprep.template.kind import KindOfTemplate

KINDS: dict[str, KindOfTemplate] = {
    kind.name: kind
    for kind in (
        TRAY, TRAY_WITH_LID, HINGED, SHOULDER, DRAWER, POLYGON_BOX, STAR, EXPLODING, SLICE, TUCK_CARTON, SLEEVE, PRISM, GATHERED, TREAT, MILK_CARTON, GABLE_BOX, BAG, PYRAMID, CUP, CONE, PILLOW, ENVELOPE, DIVIDER, TAG, BAND, LOCKED_BAND, FOLDED_CARD, PLACE_CARD, LINER, STAIR, LACE,
    )
}  # fmt: skip


def kind_named(name: str) -> KindOfTemplate:
    """Find a kind of template.

    Raises
    ------
    JobError
        When there is none, naming the near ones.
    """
    if name not in KINDS:
        raise JobError(f"no template is called '{name}'", fix=suggest(name, list(KINDS)))
    return KINDS[name]
