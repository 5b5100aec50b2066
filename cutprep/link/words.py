"""Sentences for her: what to do before anything moves, and which stroke is certain after a break."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # who only shows words need not load what proves a job
    from cutprep.link.runs import Run

CAUTION = (
    "Keep hands, hair and sleeves away from the carriage, and stay beside the machine. Its own switch is the emergency"
    " stop: know where it is before you go on. The machine's manual comes first."
)


def first_words(run: Run, before: Run | None, line: str) -> str:
    """What she must have done before a file is worked.

    Parameters
    ----------
    run
        The file.
    before
        What was run before it; None for the first, which begins with the cautions.
    line
        What she calls the line.
    """
    rows = [CAUTION] if before is None else []
    if before is None or before.sheet != run.sheet:
        laid = f"sheet {run.sheet} of {run.sheets}" if run.sheets > 1 else "the sheet"
        up = f", its {run.side} up, as the job sheet shows" if run.side else ""
        rows.append(f"Lay {laid} in{up}.")
    elif before.side != run.side:
        rows.append(_turn(run))
    tool = run.script.first_tool
    if tool and run.machine.change_how != "automatic":
        rows.append(f"Put the {run.tool(tool)} in.")
    if run.skipped:
        rows.append(
            f"{run.file} goes on from stroke {run.skipped + 1}; the card must lie as it lay. A drag knife is turned"
            " by hand to where that stroke begins."
        )
    rows.append(f"Then {run.file} goes to {line}.")
    return " ".join(rows)


def _turn(run: Run) -> str:
    """How a sheet whose back is done comes to lie with its front up."""
    like = (
        "sideways, like a page" if run.turned == "sideways" else "endways, so that its upper edge comes below"
    )
    by = (
        "find its four crosses under the tool, with the tool up, and go on only if they lie where the job sheet says"
        if run.marks
        else "lay it by the same edges as before, as the job sheet shows"
    )
    return f"When the machine stands still, turn the sheet over {like}, and {by}."


def which_is_certain(done: int, begun: int, total: int) -> str:
    """Which stroke was last certain.

    Parameters
    ----------
    done, begun
        Strokes from the first on that are certain, and that may have been begun.
    total
        Of the file.
    """
    certain = f"Stroke {done} of {total} is the last that is certain" if done else "No stroke is certain"
    unsure = f"{done + 1}" if begun == done + 1 else f"{done + 1} to {begun}"
    doubt = f"; of {unsure} it is not known" if begun > done else ""
    return f"{certain}{doubt}. Look at the card, and say from the start of which stroke to go on."
