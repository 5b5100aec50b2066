"""What an option is: dimensions of its own, and what it does to a template that is drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutprep.template.dimensions import Dimension, Values
from cutprep.template.sketch import Sketch


@dataclass(frozen=True, slots=True)
class Places:
    """What a kind offers to options.

    Attributes
    ----------
    faces, edges
        Names of panels, and of free edges.
    locks
        Whether it has tuck flaps.
    flaps
        Whether it has flaps or tabs.
    cards
        Whether it is a card or a tag, whose own corners can be rounded.
    reliefs
        Whether folds meet at corners of its outline.
    tears
        Names of the panels that can be torn: walls, not what flaps hang on all round.
    """

    faces: tuple[str, ...] = ()
    edges: tuple[str, ...] = ()
    locks: bool = False
    flaps: bool = False
    reliefs: bool = False
    tears: tuple[str, ...] = ()
    cards: bool = False


@dataclass(frozen=True, slots=True)
class Option:
    """An option of templates.

    Attributes
    ----------
    dimensions
        What it takes on a kind that offers these places; none where it makes no sense.
    add
        Adds it to a sketch where the dimensions ask for it; raises `JobError` where there is no room.
    """

    dimensions: Callable[[Places], tuple[Dimension, ...]]
    add: Callable[[Sketch, Values, Places], None]
