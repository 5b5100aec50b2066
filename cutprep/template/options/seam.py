"""A glue flap that lies outside the first wall instead of inside.

The flap's middle lies a caliper off that of the wall it is glued to. Inside, the wall that it hangs on is a caliper shorter
than the one across; outside, a caliper longer (common practice, no published source).
"""

from __future__ import annotations

from cutprep.template.dimensions import Dimension, Values

SIDES = ("inside", "outside")
#: For kinds whose glue flap may lie on either side.
SEAM_SIDE = Dimension(
    "seam-side", 0.0, "where the glue flap lies on the first wall: inside or outside", choices=SIDES
)


def last_wall(d: Values) -> float:
    """How much longer than its inside the wall with the glue flap is, mm: nothing, or two calipers for a flap outside."""
    return 2 * d["caliper"] if d["seam-side"] else 0.0


def note_of(d: Values) -> str:
    """What a drawing says of its glue flap; nothing where it lies inside, as usual."""
    return "the glue flap is glued outside on the first wall" if d["seam-side"] else ""
