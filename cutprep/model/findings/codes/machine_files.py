"""What reading a machine file back tells, by itself and beside its plan."""

from __future__ import annotations

from cutprep.model.findings.entry import ERROR, NOTE, WARNING, Entry, Severity

_PLAN = "Do not run the file; prepare the job again."
_AGAIN = "Prepare the job again."
_FILE = "Do not run the file; write it again with the program that made it."

ENTRIES = (
    Entry("stroke-missing", ERROR, "A stroke of the plan is not in the file.", _PLAN),
    Entry("stroke-extra", ERROR, "A stroke of the file is not in the plan.", _PLAN),
    Entry("stroke-moved", ERROR, "A stroke of the plan comes at another place of the file.", _PLAN),
    Entry("stroke-differs", ERROR, "A stroke of the file runs otherwise than planned.", _PLAN),
    Entry("tool-differs", ERROR, "A stroke is worked with another tool than planned.", _PLAN),
    Entry("outside-area", ERROR, "The file goes outside the machine's area.", _PLAN),
    Entry("speed-differs", ERROR, "A stroke runs at another speed than planned.", _PLAN),
    Entry("force-differs", ERROR, "A stroke is pressed harder, deeper or less than planned.", _PLAN),
    Entry("lift-differs", ERROR, "The tool is raised or lowered otherwise than planned.", _PLAN),
    Entry("wait-differs", ERROR, "The machine waits longer or shorter than planned.", _PLAN),
    Entry("way-differs", ERROR, "The tool travels from stroke to stroke otherwise than planned.", _PLAN),
    Entry(
        "units-unsaid", ERROR,
        "The file does not say in what units and positions its figures are.", _PLAN,
    ),
    Entry(
        "instruction-differs", ERROR,
        "The file holds an instruction that was not planned, or lacks one that was.", _PLAN,
    ),
    Entry(
        "job-changed", ERROR, "The file job.json is not as it was written.", _AGAIN, rooms=("job",),
    ),
    Entry(
        "file-changed", ERROR, "A file of the job is not byte for byte what was prepared.",
        "Prepare the job again; a file that you changed on purpose: cutprep verify --accept.", rooms=("job",),
    ),
    Entry("file-missing", ERROR, "A file of the job is not there, or can't be read.", _AGAIN, rooms=("job",)),
    Entry(
        "line-ends-differ", NOTE, "A machine file is the same but for line ends and white space.", "",
        rooms=("job",),
    ),
    Entry("change-accepted", NOTE, "A file was changed on purpose after preparing.", "", rooms=("job",)),
    Entry("not-of-the-job", NOTE, "The folder holds files that the job knows nothing of.", "", rooms=("job",)),
    Entry(
        "machine-file-unreadable", ERROR, "A machine file of the job can't be read back.",
        "Prepare the job again.", rooms=("job",),
    ),
    Entry("tool-left-down", ERROR, "The file ends with the tool down.", "Lift it before the end."),
    Entry("tool-down-at-change", ERROR, "The tool is down while it is changed.", _FILE),
    Entry("tool-number", ERROR, "The file asks for a tool that no machine has.", _FILE),
    Entry("empty-file", ERROR, "The file holds no instruction.", _FILE),
    Entry("out-of-range", ERROR, "A number or a place is beyond any machine.", _FILE),
    Entry("more-of-the-same", NOTE, "More findings of one code than are listed.", ""),
    Entry("not-of-the-drawing", ERROR, "A drawing for a machine holds what has no place in it.", _PLAN),
    # HP-GL
    Entry(
        "missing-terminator", WARNING, "The last instruction has no semicolon; some machines wait for it.",
        "End every instruction with a semicolon.",
    ),
    Entry("instruction-not-followed", ERROR, "An instruction draws, and is not followed here.", _FILE),
    Entry("not-hpgl", ERROR, "Something in the file is no HP-GL.", _FILE),
    Entry(
        "unknown-instruction", WARNING, "An instruction is not known; it is passed over.",
        "Look up in the machine's manual what it does.",
    ),
    Entry("exponent", ERROR, "A number has an exponent; HP-GL has none.", _FILE),
    Entry("speed-range", ERROR, "A speed lies outside 0 to 127 cm/s.", _FILE),
    Entry("wrong-count", ERROR, "An instruction has too many or too few numbers.", _FILE),
    Entry("unknown-area", ERROR, "A scale or a turn needs an area that nothing gives.", _FILE),
    Entry("wrong-angle", ERROR, "The axes are turned by other than quarters.", _FILE),
    Entry("line-type", (Severity.WARNING, Severity.ERROR), "Lines are broken by a line type; they are shown whole here.", ""),
    Entry("odd-coordinates", ERROR, "The last coordinate has no partner.", _FILE),
    Entry("fraction", WARNING, "A coordinate has a fraction; without scaling a plotter drops it.", ""),
    Entry(
        "no-tool", WARNING, "The tool goes down before one was chosen; many machines draw nothing then.",
        "Choose a tool with SP first.",
    ),
    # G-code
    Entry("no-program-end", ERROR, "The program has no M2 or M30.", "End it with M2."),
    Entry("not-followed", ERROR, "A mode or a cycle is not followed here.", _FILE),
    Entry("negative-feed", ERROR, "The feed is negative.", _FILE),
    Entry("no-feed", ERROR, "A move has no feed.", _FILE),
    Entry("dwell", ERROR, "A wait has no time, or a negative one.", _FILE),
    Entry("no-axis-word", ERROR, "A motion has no axis word.", _FILE),
    Entry("no-motion-mode", ERROR, "Axis words stand on a line without any motion mode.", _FILE),
    Entry("arc", ERROR, "An arc lacks something, or can't be.", _FILE),
    Entry("arc-radii", ERROR, "The radius of an arc differs between its start and its end.", _FILE),
    Entry("long-line", ERROR, "A line is longer than the language allows.", _FILE),
    Entry(
        "long-line-firmware", WARNING, "A line is longer than small firmwares take.",
        "Look up in the machine's manual how long a line may be.",
    ),
    Entry("line-number", ERROR, "A line number has more than five digits.", _FILE),
    Entry("semicolon-comment", NOTE, "A comment after a semicolon is not in NISTIR 6556.", ""),
    Entry("open-comment", ERROR, "A comment is not closed on its line.", _FILE),
    Entry("nested-comment", ERROR, "A comment stands inside a comment.", _FILE),
    Entry("not-gcode", ERROR, "Something on a line is no word of a letter and a number.", _FILE),
    Entry("number-range", ERROR, "The number of a word is beyond any machine.", _FILE),
    Entry("unknown-letter", ERROR, "A letter has no meaning.", _FILE),
    Entry("repeated-word", ERROR, "A letter stands twice on a line.", _FILE),
    Entry("many-m-words", ERROR, "A line has more than four M words.", _FILE),
    Entry("unknown-code", ERROR, "A G or M code is not known.", _FILE),
    Entry("modal-clash", ERROR, "A code stands beside another of its modal group.", _FILE),
)  # fmt: skip
