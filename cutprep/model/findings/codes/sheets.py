"""What laying out, ordering and compensating for the blade tell of the sheets of a job."""

from __future__ import annotations

from cutprep.model.findings.entry import ERROR, ERROR_OR_WARNING, NOTE, WARNING, Entry

_NEST, _BLADE, _JOB = ("nest",), ("blade",), ("job",)

ENTRIES = (
    Entry(
        "overlap", ERROR, "Two copies overlap on the sheet.", "Move them apart.", rooms=_NEST,
    ),
    Entry(
        "gap-too-small", ERROR, "Two copies lie closer than the gap.",
        "Move them apart, or make the gap smaller.", rooms=_NEST,
    ),
    Entry(
        "outside-margin", ERROR, "A copy lies beyond the sheet's margin.",
        "Move it inwards, or make the margin smaller.", rooms=_NEST,
    ),
    Entry(
        "on-keep-out", ERROR, "A copy lies on an area to keep out of.",
        "Move it off, or make that area smaller.", rooms=_NEST,
    ),
    Entry(
        "turn-not-allowed", ERROR, "A copy is turned or mirrored as its template does not allow.",
        "Turn it back, or allow more turns.", rooms=_NEST,
    ),
    Entry(
        "copies-wrong", ERROR, "More or fewer copies are placed than asked for.",
        "Add or take away copies.", rooms=_NEST,
    ),
    Entry("nest-method", NOTE, "How the layout came about.", "", rooms=_NEST),
    Entry(
        "nest-stopped", NOTE, "The search for a layout was stopped; the best found until then is taken.",
        "", rooms=_NEST,
    ),
    Entry("left-over", NOTE, "The largest rectangle of the sheet that stays free.", "", rooms=_NEST),
    Entry("shared-cuts", NOTE, "Edges of neighbouring copies are cut once.", "", rooms=_NEST),
    Entry(
        "no-closed-outline", ERROR_OR_WARNING, "A template has no closed outline, so no part comes away from the sheet.",
        "Look with `cutprep check` where the outline is open, and close it there, or let mending close it.",
        rooms=_JOB,
    ),
    Entry(
        "pieces-apart", NOTE, "The pieces of a drawing would take fewer sheets laid each by itself.",
        "Say --pieces-apart, or pieces_apart = true in the job file.", rooms=_JOB,
    ),
    Entry(
        "sheet-for-spares", NOTE, "A sheet is needed only for spare copies.",
        "Ask for a smaller spare, and the job takes a sheet less.", rooms=_JOB,
    ),
    Entry(
        "sheet-beyond-machine", WARNING, "A sheet is larger than the machine's area.",
        "Cut the sheet to size first, or take a machine that reaches over it.", rooms=_JOB,
    ),
    Entry(
        "name-place-empty", WARNING, "A drawing has a place for a text of each copy, and no list says what to write there.",
        "Name a list with --names, or names = in the job file.", rooms=_JOB,
    ),
    Entry("name-smaller", NOTE, "Long texts are written smaller than the drawing asks for.", "", rooms=_JOB),
    Entry("name-twice", NOTE, "A list holds the same text more than once.", "", rooms=_JOB),
    Entry("font-licence", NOTE, "What the font's licence says.", "", rooms=_JOB),
    Entry(
        "nothing-from-back", NOTE, "Scores of one fold are to be made from the back, and none is known to be one.",
        "Call a layer mountain or valley, if some of its scores are to be made from the back.", rooms=_JOB,
    ),
    Entry("aligned", NOTE, "The plan was laid on the mat by reference points.", "", rooms=_JOB),
    Entry(
        "plain-order", WARNING, "The search for a short order broke down; the nearest line comes next instead.",
        "The sheet is right and may be cut; only the travel is longer.", rooms=_JOB,
    ),
    Entry(
        "tight-curve", WARNING, "A curve is tighter than the blade's offset: the blade turns on the spot there.",
        "Round it wider, leave it out, or use a blade with less offset.", rooms=_BLADE,
    ),
    Entry(
        "tight-corners", WARNING, "Corners lie closer together than the blade's offset.",
        "Round them wider, leave them out, or use a blade with less offset.", rooms=_BLADE,
    ),
    Entry(
        "no-room-for-bridge", WARNING, "An outline has no room for all its bridges away from corners and folds.",
        "Ask for fewer or narrower bridges, or hold the sheet on a sticky mat.", rooms=_BLADE,
    ),
)  # fmt: skip
