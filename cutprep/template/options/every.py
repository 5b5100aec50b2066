"""All options of templates, in the order in which they are applied: outlines first, what lies inside them later."""

from __future__ import annotations

from cutprep.template.options.corners import CORNERS
from cutprep.template.options.faces import ON_FACES
from cutprep.template.options.hanging import HANGING
from cutprep.template.options.notch import NOTCH
from cutprep.template.options.option import Option
from cutprep.template.options.slits import SLITS
from cutprep.template.options.tear import TEAR

OPTIONS: tuple[Option, ...] = (CORNERS, NOTCH, SLITS, HANGING, TEAR, ON_FACES)
