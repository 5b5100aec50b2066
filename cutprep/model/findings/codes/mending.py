"""What `mend` did; its notes say what was there before and what is there now."""

from __future__ import annotations

from cutprep.model.findings.entry import NOTE, WARNING, Entry

ENTRIES = (
    Entry("removed-double", NOTE, "Mending took out a stretch that was drawn twice.", ""),
    Entry("removed-under", NOTE, "Mending took out a stretch that lay under a line of another operation.", ""),
    Entry(
        "split-outline", NOTE,
        "Mending split an outline where what is left of a neighbour ends on it.", "",
    ),
    Entry("removed-crumb", NOTE, "Mending took out a crumb.", ""),
    Entry("removed-stub", NOTE, "Mending took out a short cut that stood alone.", ""),
    Entry("removed-points", NOTE, "Mending took out points that lay on the point before them.", ""),
    Entry("joined-lines", NOTE, "Mending joined lines that met end to end.", ""),
    Entry("closed-gap", NOTE, "Mending closed a gap.", ""),
    Entry("trimmed-cut", NOTE, "Mending trimmed a cut to the outline it ran past.", ""),
    Entry("trimmed-score", NOTE, "Mending trimmed a fold line to the line it ran past.", ""),
    Entry("extended-score", NOTE, "Mending carried a fold line on to the line it pointed at.", ""),
    Entry("straightened", NOTE, "Mending straightened an almost straight run.", ""),
    Entry("rejoined-arc", NOTE, "Mending made one smooth run of the pieces of an arc.", ""),
    Entry(
        "left-as-drawn", WARNING, "Mending left something that only the maker can decide.",
        "Say which is to stay (--keep): the cut, the score, or the one the outline needs.",
    ),
    Entry("left-as-wished", NOTE, "Mending left something as drawn, because the maker said so.", ""),
    Entry(
        "nothing-to-leave", WARNING, "A change that mending is to leave is none that it would make.",
        "Take it out of the job's `leave`, or give the place as it is told where the change is made.",
    ),
)  # fmt: skip
