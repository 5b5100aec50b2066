"""What `cutprep prepare` says when a job is done: what was made, sheet by sheet, and where to look next."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from cutprep.cli import show
from cutprep.model.findings.finding import Severity, errors, in_words
from cutprep.report.outcome import Outcome, SheetOutcome
from cutprep.units import plural, say_distance, say_size, say_time

#: Notes of a job that a maker wants to hear at once, not only on the job sheet.
_SAID_AT_THE_END = ("aligned", "nest-stopped", "pieces-apart", "sheet-for-spares", "nothing-from-back")
#: What is said before the work begins is not said again.
_SAID_BEFORE = ("sheet-beyond-machine",)


def show_outcome(outcome: Outcome, folder: Path, *, every: bool) -> None:
    """Show one screen: what was read, what was found, sheets, times, files."""
    shown = [f for f in outcome.findings if f.severity is not Severity.NOTE and f.code not in _SAID_BEFORE]
    show.show_findings(shown, console=show.err(), every=every, unit=outcome.unit)
    accepted = len(errors(shown))
    if outcome.despite and accepted:
        show.say(
            f"Went on despite {accepted} error{'s' * (accepted > 1)}; each is named on the job sheet.",
            style="bold red",
            console=show.err(),
        )
    for template in outcome.templates:
        size = say_size(*template.size, outcome.unit)
        show.say(
            f"{template.source}: {size}, {template.parts} part{'s' * (template.parts != 1)}, "
            f"{plural(template.copies, 'copy', 'copies')}"
        )
    show.show_table(
        ("file", "copies", "time", "cut", "score", "travel", "card used"),
        [row for done in outcome.sheets for row in _sheet_cells(done, outcome.unit)],
    )
    count = outcome.runs
    stocks = " and ".join(stock.title for stock in outcome.stocks)
    if any(done.back is not None and not done.back.done for done in outcome.sheets):
        show.say("Sheets are turned over between their files, as the job sheet shows.")
    if any(len({file.side for file in done.files}) < len(done.files) for done in outcome.sheets):
        show.say("Run the files of a sheet one after the other, as listed; change the tool between them.")
    show.say(
        f"{count:,} sheet{'s' * (count > 1)} of {stocks}, {say_time(outcome.seconds)} of machine time. "
        "Every file was read back and is what was planned."
    )
    if outcome.over_line:
        show.say(
            f"Sent over the machine's serial line it takes {say_time(outcome.over_line)}: the line holds the machine up."
        )
    worth_saying = [f for f in outcome.findings if f.code in _SAID_AT_THE_END]
    for told in dict.fromkeys(
        f"{f.problem}. {f.fix}".strip() for f in (in_words(f, outcome.unit) for f in worth_saying)
    ):
        show.say(f"Note: {told}", console=show.err())
    printed = [done.print_file for done in outcome.sheets if done.print_file]
    first = f"Print {', '.join(printed)} first. " if printed else ""
    show.say(f"{first}Open {folder / 'job-sheet.html'}")


def _sheet_cells(done: SheetOutcome, unit: str) -> Iterator[tuple[str, ...]]:
    """One row for each file of a sheet; what holds for the whole sheet stands in the first."""
    figures = (
        say_distance(done.cut, unit),
        say_distance(done.score, unit),
        say_distance(done.travel, unit),
        f"{100 * done.sheet.utilisation:.0f} %",
    )
    copies = str(len({placement.copy for placement in done.sheet.placements}))
    if done.runs > 1:
        copies = f"{copies}, run {done.runs:,} times"
    for turn, file in enumerate(done.files):
        time = say_time(file.duration.total)
        yield (file.name, "", time, "", "", "", "") if turn else (file.name, copies, time, *figures)
