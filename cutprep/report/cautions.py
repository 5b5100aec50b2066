"""The usual cautions, printed on every sheet that people work from.

They claim nothing and replace nothing: the machine's manual, local rules and qualified advice
come first. Small parts: the test cylinder of 16 CFR 1501.4 is the published measure; food
contact: Regulation (EC) 1935/2004. The rest is common practice, no published source.
"""

from __future__ import annotations

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Blades",
        (
            "Keep hands, hair and sleeves away from the moving carriage. Cap blades that are not in use, let an "
            "adult change them, pick up slivers, and throw used blades away in a hard, closed container."
        ),
    ),
    (
        "Small parts",
        (
            "Punched-out pieces, magnets and beads can be swallowed. Keep them from children under three; "
            "16 CFR 1501.4 and EN 71-1 describe how small is too small. Never put loose magnets into a gift for a child."
        ),
    ),
    (
        "Food",
        (
            "Card, ink and glue may pass on substances. Put food into a food-grade liner or wrapper, and pass on its "
            "list of ingredients and allergens. Rules such as Regulation (EC) 1935/2004 decide what may touch food."
        ),
    ),
    (
        "Glue and heat",
        "The tip and the glue of a glue gun burn: adults only. Air the room when you use solvent glue.",
    ),
    ("Flame", "No open flame in or near card: use LED lights."),
    (
        "First of all",
        (
            "The manual of your machine, the rules of your place and qualified advice come before this sheet. "
            "Try a new card or blade on a scrap first, and stay beside the machine while it runs."
        ),
    ),
)
