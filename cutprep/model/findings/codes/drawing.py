"""What `check` finds in a drawing, whichever program drew it."""

from __future__ import annotations

from cutprep.model.findings.entry import ERROR, ERROR_OR_WARNING, NOTE, WARNING, Entry, Mend

_SAFE, _ASK = (Mend.SAFE,), (Mend.ASK,)
_NEAR_SAFE = (Mend.SAFE, Mend.ASK, Mend.NONE)

#: In the order of a report's reader: what is cut twice, what doesn't close, what folds badly, what
#: tears, what is too small or too large.
ENTRIES = (
    Entry(
        "doubled-line", ERROR,
        "Lines of one operation lie on each other within 0.10 mm over at least 0.5 mm; the measure is the length "
        "that would be run again.",
        "Delete what is drawn twice; mending keeps one line of each stretch.", _SAFE,
    ),
    Entry(
        "doubled-across-operations", ERROR_OR_WARNING,
        "Lines of different operations lie on each other, such as a score under a cut.",
        "Delete the line that is not meant, or say which is to stay (--keep).", _ASK,
    ),
    Entry(
        "near-double", WARNING,
        "Lines run beside each other 0.10 to 0.60 mm apart over at least 3 mm, as by a slip of the hand.",
        "Delete one of them, or lay them on each other.",
    ),
    Entry(
        "fold-conflict", ERROR, "A mountain fold and a valley fold lie on each other.",
        "Delete the one that is not meant.",
    ),
    Entry(
        "gap", ERROR,
        "Two ends of cut lines, or an end and the line it should meet, miss each other by up to 0.8 mm.",
        "Close the gap, or let mending close it.", _SAFE,
    ),
    Entry(
        "open-outline", ERROR_OR_WARNING, "A chain of cut lines that bounds a part doesn't close.",
        "Draw the missing piece.",
    ),
    Entry(
        "cut-past-outline", WARNING, "A cut runs past the outline it bounds, or past a corner of it into the card.",
        "End it at the outline.", (Mend.SAFE, Mend.ASK),
    ),
    Entry(
        "unfinished-chain", WARNING, "A cut outside every outline bounds nothing.",
        "Finish the outline, or delete the line.",
    ),
    Entry(
        "stub", WARNING, "A cut shorter than 3 mm stands alone.", "Delete it if it is left over.", _ASK,
    ),
    Entry(
        "dashes", NOTE, "Short cuts in a row make a broken line; they are taken as they are drawn.",
        "Nothing, if a perforation is meant; else close the gaps.",
    ),
    Entry(
        "self-crossing", ERROR, "An outline crosses itself.", "Draw the outline without the loop.",
    ),
    Entry(
        "crossing-cuts", ERROR_OR_WARNING, "A cut crosses an outline that it is no part of.",
        "End one of them at the other, or move them apart.",
    ),
    Entry(
        "cut-across-score", WARNING, "A cut crosses a fold on the card and severs the hinge.",
        "End the cut at the fold, or split the fold where the cut is meant.",
    ),
    Entry(
        "score-past-outline", WARNING, "A fold line runs past the outline, or past the line it should end on.",
        "Trim it to the outline.", _NEAR_SAFE,
    ),
    Entry(
        "score-over-hole", WARNING, "A fold line runs over a hole.", "End it at the edge of the hole.", _NEAR_SAFE,
    ),
    Entry(
        "score-short-of-outline", WARNING, "A fold line stops up to 3 mm short of the line it points at.",
        "Extend it to that line.", _NEAR_SAFE,
    ),
    Entry(
        "score-ends-in-panel", WARNING, "A fold line ends in the middle of a panel.",
        "Carry it on to a cut or another fold, or delete it.",
    ),
    Entry(
        "score-near-cut", WARNING, "A fold line runs closer to a cut than the stock holds.",
        "Move the fold away from the cut, or leave it out.",
    ),
    Entry(
        "thin-strip", WARNING, "A strip between two cuts is narrower than the stock holds, over at least 2 mm.",
        "Move the cuts apart, or make one cut of them.",
    ),
    Entry(
        "crumb", WARNING, "A line shorter than 0.3 mm that links no others.",
        "Delete it, or let mending do so.", _SAFE,
    ),
    Entry(
        "repeated-point", NOTE, "Points lie on the point before them.",
        "Nothing need be done; mending takes them out.", _SAFE,
    ),
    Entry(
        "sharp-inner-corner", NOTE, "A re-entrant corner sharper than 60 degrees, from which the card tears.",
        "Round the corner, or end it in a small hole.",
    ),
    Entry(
        "hole-too-small", WARNING, "A hole in which the blade can't swing round.",
        "Make the hole larger, or punch it.",
    ),
    Entry(
        "size", ERROR_OR_WARNING, "The size is not the expected one, or looks like a slip of the unit.",
        "Scale the drawing, or say its unit with --units.",
    ),
    Entry(
        "off-page", ERROR, "Lines lie beyond the page.",
        "Move them onto the page, make the page larger, or delete them.",
    ),
    Entry(
        "larger-than-sheet", WARNING, "The drawing is larger than the sheet of the stock.",
        "Take a larger sheet, or divide the template.",
    ),
    Entry(
        "larger-than-machine", WARNING, "The drawing is larger than the machine's area.",
        "Take a larger machine, or divide the template.",
    ),
    Entry(
        "all-cut", WARNING,
        "Nothing is scored, and pieces lie side by side with cuts between them, so that they would fall apart.",
        "Put the lines to fold on a score layer, or say which layer they are: --layer NAME=score.",
    ),
    Entry(
        "small-part", NOTE,
        "A small closed cut lies outside every other outline, so that it counts as a part of its own.",
        "Nothing, if it is a part; a hole belongs inside the outline.",
    ),
    Entry(
        "copies-in-drawing", NOTE, "Copies of one part are drawn side by side.",
        "To let the copies be laid out, draw the part once and ask for copies of it.",
    ),
)  # fmt: skip
