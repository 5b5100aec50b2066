"""All kinds of templates by name."""

from __future__ import annotations

from cutprep.errors import JobError
from cutprep.tables import near
from cutprep.template.dimensions import KindOfTemplate
from cutprep.template.flat import DIVIDER, LACE, TAG
from cutprep.template.prism import PRISM
from cutprep.template.tray import TRAY

KINDS: dict[str, KindOfTemplate] = {kind.name: kind for kind in (PRISM, TRAY, TAG, DIVIDER, LACE)}


def kind_named(name: str) -> KindOfTemplate:
    """Find a kind of template.

    Raises
    ------
    JobError
        When there is none, naming the near ones.
    """
    if name not in KINDS:
        raise JobError(f"no template is called '{name}'", fix=near(name, list(KINDS)))
    return KINDS[name]
