"""What reading and classifying tell: what was left out, assumed or repaired."""

from __future__ import annotations

from cutprep.model.findings.entry import ERROR, NOTE, WARNING, WARNING_OR_NOTE, Entry

_BOTH = ("read", "classify")

ENTRIES = (
    Entry(
        "unplaced-line", ERROR, "Nothing says whether to cut or to score a line.",
        "Name its layer after an operation, or add --layer NAME=OPERATION.", rooms=("classify",),
    ),
    Entry("wrong-extension", NOTE, "The file's name ends otherwise than its content.", ""),
    Entry(
        "unit-assumed", WARNING_OR_NOTE, "The drawing names no unit, so one was assumed.",
        "Check the size, or say its unit with --units.",
    ),
    Entry(
        "unit-not-used", WARNING, "A unit was given, but the drawing names another.",
        "If the file is wrong about its unit, set it right in the program that drew it.",
    ),
    Entry(
        "size-in-doubt", WARNING, "Two ways of reading the size of the page differ.",
        "Check the size of the drawing with --expect before you cut.",
    ),
    Entry(
        "page-stretched", WARNING, "Width and height of the page are scaled differently.",
        "Check both sizes of the page.",
    ),
    Entry(
        "page-fitted", WARNING, "Page and viewBox have different shapes, so the drawing was fitted into the page.",
        "Make width, height and viewBox of the page the same shape, or state the size you expect with --expect.",
    ),
    Entry(
        "huge-drawing", WARNING, "The drawing is larger than any mat.", "Check the unit that the file states.",
    ),
    Entry(
        "block-unit", NOTE, "A block names another unit than the drawing.", "Measure one length of each such block.",
    ),
    Entry(
        "text-left-out", WARNING, "Text was left out: letters are no lines.",
        "Turn text into outlines if it is to be worked.",
    ),
    Entry(
        "print-left-out", WARNING, "What a DXF has on a layer for printing was left out.",
        "Draw what is to be printed as SVG, or call the layer guide.",
    ),
    Entry(
        "print-text-missing", WARNING, "A text to be printed does not show.",
        "Turn it into outlines.",
    ),
    Entry(
        "print-text", NOTE, "A text is printed in a font of this machine; on another it may look otherwise.",
        "Look at the page before you print it; turn the text into outlines to be sure.",
    ),
    Entry(
        "image-left-out", WARNING, "A picture was left out: it has no lines.",
        "Trace the picture into lines if it is to be worked.",
    ),
    Entry(
        "fill-left-out", WARNING, "A filled area was left out: a fill is no line.",
        "Give the shape a stroke, or use --fill-as-outline.", rooms=_BOTH,
    ),
    Entry(
        "hidden-left-out", NOTE, "Hidden lines were left out.",
        "Show the layer or element before saving if it is to be worked.",
    ),
    Entry(
        "unpainted-left-out", NOTE, "A shape without stroke and fill was left out: nothing of it shows.",
        "Give it a stroke if it is to be worked.",
    ),
    Entry(
        "dimension-left-out", NOTE, "Dimensions or leaders were left out.",
        "To draw them, explode them into lines first.",
    ),
    Entry("table-left-out", NOTE, "A table was left out.", "To draw a table, explode it into lines first."),
    Entry(
        "point-left-out", NOTE, "Points, or lines of no length, were left out.",
        "Draw a small circle where a hole is meant.",
    ),
    Entry("no-length-left-out", NOTE, "An entity without length was left out.", ""),
    Entry(
        "endless-line-left-out", NOTE, "An endless construction line was left out.",
        "Trim it to a line if it is to be cut.",
    ),
    Entry("solid-left-out", WARNING, "A solid, surface or region was left out.", "Explode it into lines."),
    Entry(
        "unknown-left-out", WARNING, "An object that only another program knows was left out.",
        "Explode it into lines in the program that drew it.",
    ),
    Entry(
        "foreign-left-out", NOTE, "A block of foreign content was left out.", "",
    ),
    Entry(
        "broken-left-out", WARNING, "An entity with lacking or contradicting data was left out.", "Draw it again.",
    ),
    Entry(
        "far-left-out", WARNING, "A shape was left out: a coordinate lies beyond every mat.",
        "Delete the stray shape, or check the scale of the drawing.",
    ),
    Entry(
        "flat-left-out", WARNING, "An element was left out: its transform lays it flat.", "Check the transform.",
    ),
    Entry("marker-left-out", NOTE, "Markers on lines were left out.", ""),
    Entry(
        "paper-space-left-out", NOTE, "What lies on printed sheets (paper space) was left out.",
        "Move to model space what is to be cut.",
    ),
    Entry(
        "missing-block", WARNING, "An insert was left out: the file does not hold its block.",
        "Bind or explode it in the program that drew it, and save again.",
    ),
    Entry(
        "foreign-block", WARNING, "An insert was left out: its block is in another file.",
        "Bind or explode it in the program that drew it, and save again.",
    ),
    Entry(
        "use-left-out", WARNING, "A reference (use) was left out: it leads nowhere.",
        "Replace the clone by a copy.",
    ),
    Entry(
        "use-cycle", WARNING, "A reference (use) was left out: it contains itself.",
        "Replace the clone by a copy.",
    ),
    Entry(
        "outside-left-out", WARNING, "A reference to another file was left out; other files are never opened.",
        "Put the content into this file.",
    ),
    Entry(
        "empty-viewport", WARNING, "An element was left out: its size or viewBox is empty.",
        "Give it a width and a height.",
    ),
    Entry(
        "clip-applied", NOTE, "A line was cut back to what its clip shows.",
        "Release the clip before saving if the whole line is wanted.",
    ),
    Entry(
        "clip-left-out", NOTE, "A line was left out: the clip shows nothing of it.",
        "Release the clip before saving if the line is wanted.",
    ),
    Entry(
        "clip-ignored", WARNING, "A clip could not be applied; what it clips was read whole.",
        "Check that nothing is cut that should not show.",
    ),
    Entry(
        "mask-ignored", WARNING, "A mask was not applied; what it masks was read whole.",
        "Release the mask, and delete what should not be worked.",
    ),
    Entry(
        "style-left-out", WARNING, "A style sheet in another file was not read; other files are never opened.",
        "Put the styles into this file.",
    ),
    Entry(
        "style-ignored", WARNING_OR_NOTE, "A style in error, or too involved, was ignored.",
        "Save the drawing with the styles in the elements themselves.",
    ),
    Entry(
        "media-left-out", NOTE, "Styles for another medium were not applied.",
        "Save the drawing with the styles in the elements themselves.",
    ),
    Entry(
        "transform-ignored", WARNING, "A transform could not be read and was ignored.",
        "Apply the transform in the program that drew it.",
    ),
    Entry(
        "path-cut-short", WARNING, "A path is faulty; what comes before the fault was drawn.",
        "Draw that piece again.",
    ),
    Entry("size-ignored", WARNING, "A size in error was ignored.", "Give the size a number and a unit."),
    Entry("xml-repaired", NOTE, "A small fault of the file's text was overlooked.", ""),
    Entry(
        "repaired", WARNING, "A faulty file was repaired in reading.",
        "Save the drawing again in the program that drew it.",
    ),
    Entry("wide-line", NOTE, "A polyline has a width; its centre line was read.", ""),
    Entry("thick-line", NOTE, "An entity has a thickness upwards; its base line was read.", ""),
    Entry(
        "projected", WARNING, "A line does not lie level; it was read as seen from above.",
        "Check its length, or draw it flat.",
    ),
    Entry(
        "raised", NOTE, "A line lies above or below the drawing's plane; it was read as seen from above.", "",
    ),
)  # fmt: skip
