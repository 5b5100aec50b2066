"""The codes of findings about a drawing, each with what it means.

A code is named after the fault, never changes its meaning, and stands in `--json` output; scripts
may rely on it.
"""

from __future__ import annotations

#: Code to one sentence that explains it, in the order of a report's reader: what is cut twice,
#: what doesn't close, what folds badly, what tears, what is too small or too large.
CATALOGUE: dict[str, str] = {
    "doubled-line": "Lines of one operation lie on each other within 0.10 mm over at least 0.5 mm; the measure "
    "is the length that would be run again.",
    "doubled-across-operations": "Lines of different operations lie on each other, such as a score under a cut.",
    "near-double": "Lines run beside each other 0.10 to 0.60 mm apart over at least 3 mm, as by a slip of the hand.",
    "fold-conflict": "A mountain fold and a valley fold lie on each other.",
    "gap": "Two ends of cut lines, or an end and the line it should meet, miss each other by up to 0.8 mm.",
    "open-outline": "A chain of cut lines that bounds a part doesn't close.",
    "unfinished-chain": "A cut outside every outline bounds nothing.",
    "stub": "A cut shorter than 3 mm stands alone.",
    "dashes": "Short cuts in a row make a broken line; they are taken as they are drawn.",
    "self-crossing": "An outline crosses itself.",
    "crossing-cuts": "A cut crosses an outline that it is no part of.",
    "cut-across-score": "A cut crosses a fold on the card and severs the hinge.",
    "score-past-outline": "A fold line runs past the outline.",
    "score-over-hole": "A fold line runs over a hole.",
    "score-short-of-outline": "A fold line stops up to 3 mm short of the line it points at.",
    "score-ends-in-panel": "A fold line ends in the middle of a panel.",
    "score-near-cut": "A fold line runs closer to a cut than the stock holds.",
    "thin-strip": "A strip between two cuts is narrower than the stock holds, over at least 2 mm.",
    "crumb": "A line shorter than 0.3 mm that links no others.",
    "repeated-point": "Points lie on the point before them.",
    "sharp-inner-corner": "A re-entrant corner sharper than 60 degrees, from which the card tears.",
    "hole-too-small": "A hole in which the blade can't swing round.",
    "size": "The size is not the expected one, or looks like a slip of the unit.",
    "off-page": "Lines lie beyond the page.",
    "larger-than-sheet": "The drawing is larger than the sheet of the stock.",
    "larger-than-machine": "The drawing is larger than the machine's area.",
    "copies-in-drawing": "Copies of one part are drawn side by side.",
    "removed-double": "Mending took out a stretch that was drawn twice.",
    "removed-under": "Mending took out a stretch that lay under a line of another operation.",
    "split-outline": "Mending split an outline where what is left of a neighbour ends on it.",
    "removed-crumb": "Mending took out a crumb.",
    "removed-stub": "Mending took out a short cut that stood alone.",
    "removed-points": "Mending took out points that lay on the point before them.",
    "joined-lines": "Mending joined lines that met end to end.",
    "closed-gap": "Mending closed a gap.",
    "trimmed-score": "Mending trimmed a fold line to the line it ran past.",
    "extended-score": "Mending carried a fold line on to the line it pointed at.",
    "straightened": "Mending straightened an almost straight run.",
    "rejoined-arc": "Mending made one smooth run of the pieces of an arc.",
    "left-as-drawn": "Mending left something that only the maker can decide.",
}
