"""What `fold` finds; `prepare` and `check` tell its errors as warnings, since a flat part can still be cut."""

from __future__ import annotations

from cutprep.model.findings.entry import ERROR_OR_WARNING, NOTE, WARNING, WARNING_OR_NOTE, Entry

ENTRIES = (
    Entry(
        "drawing-first", ERROR_OR_WARNING,
        "The part does not fold as it should, because of a fault of the drawing that `check` tells.",
        "Mend the drawing first; then fold it again.",
    ),
    Entry(
        "loose", ERROR_OR_WARNING, "A panel hangs on nothing: only cuts lie between it and the part.",
        "Make one of the cuts a score; if it is waste or a part of its own, all is well.",
    ),
    Entry(
        "does-not-close", ERROR_OR_WARNING, "The part does not close: something is missing at the seams.",
        "Make the sides that meet equally long; the findings on sides say which.",
    ),
    Entry(
        "closes-with-play", WARNING, "The part closes, with play at the seams.",
        "Fine for card if the gap may show.",
    ),
    Entry(
        "side-length", ERROR_OR_WARNING, "A side is longer or shorter than what it meets.",
        "Make the two equally long.",
    ),
    Entry(
        "gusset-askew", ERROR_OR_WARNING, "The middle score of a gusset does not part its corner into halves.",
        "Draw it so that both halves are mirror images.",
    ),
    Entry(
        "fold-direction", WARNING, "A score is drawn to fold one way, but the part closes with the other.",
        "Draw it the other way, or declare how the part is to fold.",
    ),
    Entry(
        "not-held", NOTE, "The finished part stays movable.",
        "Fine for a sleeve or a lid; else add an end panel or a flap that holds it square.",
    ),
    Entry(
        "movable", NOTE, "The part can move while its seams stay together, so its size isn't fixed by its folds.",
        "Fine for a sleeve or a band; else add an end panel or a flap that holds it in shape.",
    ),
    Entry(
        "two-ways", WARNING, "The part folds up in several ways that are as good.",
        "Declare a fold angle or a seam of the one that is meant, in the angles file.",
    ),
    Entry(
        "extra-wall", WARNING, "A tube is closed without one of its walls, which lies on another.",
        "Take it away or make it a glue flap; if a double wall is meant, all is well.",
    ),
    Entry(
        "walls-uneven", WARNING, "Two walls of a tube that face each other are not quite equally wide.",
        "Make them equally wide; if the tube is meant to stand askew, all is well.",
    ),
    Entry(
        "dented", WARNING, "The seams close, but the body is dented or flat.",
        "Declare the mates or the fold angles that are meant.",
    ),
    Entry(
        "open-edges", ERROR_OR_WARNING, "Sides meet nothing and don't lie in one plane.",
        "A panel or a score is missing or too many; or declare what meets there.",
    ),
    Entry(
        "cannot-infer", NOTE, "Nothing tells how the part is to close.",
        "Declare which sides meet (mate), or the fold angles, in the angles file.",
    ),
    Entry(
        "panels-cross", ERROR_OR_WARNING, "Two panels pass through one another when folded.",
        "Make one of them smaller, or correct the fold angle.",
    ),
    Entry(
        "not-flat-foldable", ERROR_OR_WARNING, "The scores that meet in a point do not let the part fold flat.",
        "Move or turn a score until opposite angles add up to 180 degrees; mountains and valleys differ by two.",
    ),
    Entry(
        "flap-meets-nothing", WARNING, "A flap meets no other panel.",
        "Take it away, or declare what it lies on.",
    ),
    Entry(
        "flap-turned-in", NOTE, "A flap hangs on a free rim and is taken to be turned in.",
        "Declare its fold angle if it is meant to stand.",
    ),
    Entry("flap-narrow", WARNING, "A flap is too narrow for glue on card.", "Make it deeper."),
    Entry(
        "flap-wide", ERROR_OR_WARNING, "A flap stands out beyond the panel that it lies on.",
        "Make it smaller on that side.",
    ),
    Entry(
        "flap-overlap", WARNING, "Two flaps overlap on one panel: three layers of card there.",
        "Shorten one of them, or both to half.",
    ),
    Entry(
        "tuck-tight", WARNING, "A tuck flap is wider than the room between the walls.",
        "Take the difference off its width, half on each side.",
    ),
    Entry(
        "layers-bulge", WARNING, "Layers of card lie at the ends of a panel, and nothing is taken off it for them.",
        "Make the panel narrower by the layers' caliper; for card that gives way, all is well.",
    ),
    Entry(
        "no-allowance", NOTE, "The card is thick, and all sides that meet are drawn exactly equal.",
        "Draw the panel with the glue flap smaller by the card's thickness, a lid larger by it for each wall.",
    ),
    Entry(
        "size-unknown", ERROR_OR_WARNING, "An inside size is expected, but none could be measured.",
        "See the other findings of this part.",
    ),
    Entry(
        "size-wrong", ERROR_OR_WARNING, "The inside has another size than expected.",
        "Correct the drawing or what is expected.",
    ),
    Entry(
        "flap-forgotten", WARNING_OR_NOTE, "No flap holds a seam, while other seams have one.",
        "Draw a glue flap on one side of the seam; if tape holds it, all is well.",
    ),
    Entry(
        "flap-twice", WARNING, "A seam has a glue flap on both sides.", "Take one of the two away.",
    ),
    Entry(
        "score-part-cut", WARNING, "A score goes on as a cut between the same two panels.",
        "Put the cut on the score's layer; if it is a slit that is meant, all is well.",
    ),
    Entry(
        "panel-narrow", WARNING, "Two scores lie side by side with hardly any card between them.",
        "Take one of them away; for a spine as wide as the card is thick, all is well.",
    ),
    Entry(
        "score-missing", ERROR_OR_WARNING, "A score seems to be missing: the part closes, or folds up as well, with one score more.",
        "Draw the score there; if the card is meant to stay flat there, all is well.",
    ),
    Entry(
        "cut-for-score", ERROR_OR_WARNING, "A cut parts what would fold up if it were scored there.",
        "Put that cut on the score's layer; if a slit is meant, all is well.",
    ),
    Entry(
        "wall-missing", WARNING, "A flap or a side is drawn for a wall that is not there.",
        "Draw the wall; if the part is meant to be open there, take the flap away.",
    ),
    Entry(
        "fit", NOTE, "Two pieces fit one another, with so much room on each side.", "",
    ),
    Entry(
        "fit-tight", WARNING, "Two pieces fit one another with less room than is wanted.",
        "Make the outer piece larger, or the inner one smaller.",
    ),
    Entry(
        "fit-too-small", ERROR_OR_WARNING, "A lid, a sleeve or a box is too small for what goes into it.",
        "Make it larger by the figure and by some 0.5 mm more, so that it slides.",
    ),
    Entry(
        "fit-unknown", WARNING, "Two pieces are to fit one another, but the size of one is not known.",
        "It has to fold up first; see its findings.", rooms=("fold", "job"),
    ),
    Entry(
        "grain-across", WARNING, "The main folds run across the grain.",
        "Turn the part by 90 degrees on the sheet, so that the long scores run with the grain.",
    ),
    Entry(
        "locked", ERROR_OR_WARNING, "A score between two panels bends, so neither can turn.",
        "Draw it straight, or cut one leg of it.",
    ),
    Entry(
        "curved-score", NOTE, "A curved score makes panels bend; it is not folded on the screen.",
        "Fold one by hand before you cut the set.",
    ),
    Entry(
        "rigid-vertex", ERROR_OR_WARNING, "Three scores meet inside the card: no panel can turn there.",
        "Cut one of the three lines, or add a fourth score.",
    ),
    Entry(
        "not-solved", WARNING, "The part has more panels than are folded on the screen, or takes more work than is allowed.",
        "Fold it in portions, allow more work (docs/SAFETY.md), or declare which sides meet.",
    ),
    Entry(
        "not-folded", NOTE, "The template was not folded on the screen.",
        "Run `cutprep fold` on it to see more, or fold one by hand before you cut the set.", rooms=("job",),
    ),
)  # fmt: skip
