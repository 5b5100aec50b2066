"""What panels of a folded part are for, how they stay put, and what takes no part in closing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Duty(Enum):
    """What a panel is for in the folded part."""

    WALL = "wall"
    GLUE_FLAP = "glue flap"
    TUCK_FLAP = "tuck flap"
    DUST_FLAP = "dust flap"
    CLOSURE_FLAP = "closure flap"
    GUSSET = "gusset"
    TURNED_WALL = "turned-in wall"
    FOOT = "foot strip"
    HEADER = "header"
    HANG_TAB = "hang tab"
    FREE_FLAP = "free flap"
    PARTITION = "partition"
    HANDLE = "handle"


class Fastening(Enum):
    """How a panel that lies on another stays there."""

    GLUED = "glued"
    TUCKED = "tucked in"
    CLOSES = "closes an opening"
    HELD = "held by its neighbours"
    NOTHING = "lies on nothing"


@dataclass(frozen=True, slots=True)
class Feature:
    """Something drawn that takes no part in closing.

    Attributes
    ----------
    kind
        "tear line", "score that stays flat", "door", "window" or "slot".
    xy
        Where, mm.
    panels
        Panels that it lies in or between.
    length
        How long it is (of an opening: all round), mm.
    """

    kind: str
    xy: tuple[float, float]
    panels: tuple[int, ...]
    length: float
