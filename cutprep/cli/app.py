"""The commands: arguments to a job, the job to the pipeline, errors to exit codes.

Only typer and rich are imported at the top. Whatever loads numpy, shapely or ezdxf is
imported inside a command, so that `cutprep --help` answers at once.

Exit codes: 0 fine; 1 the drawing has errors, or a machine file is not what was planned; 2 the
input or the options can't be used; 3 a fault of cutprep's own, with the details in a file.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from cutprep.cli import drawing_commands, show
from cutprep.cli.options import (
    CHECKED,
    All,
    Allowed,
    Followed,
    GroupedCommand,
    Json,
    Language,
    MachineFile,
    Replace,
    Sources,
    with_settings,
)
from cutprep.cli.plain import PlainGroup
from cutprep.errors import JobError
from cutprep.job.settings.setting import Group
from cutprep.job.settings.table import SETTINGS

app = typer.Typer(
    cls=PlainGroup,
    help="Prepare papercraft templates for a cutting plotter: check them, lay copies out, and write machine "
    "files that were read back and proved, with a job sheet to work from.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # the plain help is there in half the time
    add_completion=False,
)


def _version(asked: bool) -> None:
    if asked:
        import cutprep

        show.say(cutprep.__version__)
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", help="Print the version.", callback=_version, is_eager=True)
    ] = False,
) -> None:
    pass


_DRAWING, _OUTPUT = Group.DRAWING.value, Group.OUTPUT.value


@app.command(cls=GroupedCommand)
@with_settings(SETTINGS)
def prepare(
    sources: Annotated[
        list[Path],
        typer.Argument(
            metavar="DRAWING", help="SVG or DXF drawings, or one job file (.toml).", show_default=False
        ),
    ],
    out: Annotated[
        Path,
        typer.Option(
            metavar="FOLDER", help="Folder for the results.", show_default=False, rich_help_panel=_OUTPUT
        ),
    ],
    settings: dict[str, Any],
    pictures: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Pictures of sheets, templates and folding, for a page of your own.",
            rich_help_panel=_OUTPUT,
        ),
    ] = None,
    every: All = False,
    replace: Annotated[
        bool,
        typer.Option(
            "--replace", help="Replace what cutprep wrote into the folder before.", rich_help_panel=_OUTPUT
        ),
    ] = False,
    from_elsewhere: Annotated[
        bool,
        typer.Option(
            "--from-elsewhere",
            help="A job file may name files outside its folder.",
            rich_help_panel=_DRAWING,
        ),
    ] = False,
    limit: Allowed = None,
) -> None:
    """Turn drawings into machine files and a job sheet."""
    with show.reported():
        from cutprep.cli.done import show_outcome
        from cutprep.cli.jobs import job_of_command, show_pictures, show_stopped
        from cutprep.cli.progress import progress_bar
        from cutprep.job.api import prepare_job
        from cutprep.job.before import beyond_reach
        from cutprep.model.findings.finding import Stopped

        job = job_of_command(sources, settings, elsewhere=from_elsewhere, limit=limit or ())
        show.show_findings(beyond_reach(job), console=show.err(), unit=job.unit)
        try:
            with progress_bar() as tell:
                outcome = prepare_job(job, out, replace=replace, progress=tell)
        except Stopped as stopped:
            show_stopped(stopped.findings, every=every, unit=job.unit)
            raise typer.Exit(1) from None
        show_outcome(outcome, out, every=every)
        if pictures is not None:
            show_pictures(outcome, pictures, replace=replace)


@app.command(cls=GroupedCommand)
@with_settings(CHECKED)
def check(
    sources: Sources,
    settings: dict[str, Any],
    picture: Annotated[
        Path | None, typer.Option(help="Where findings are, as .svg, or as .png with cutprep[png].")
    ] = None,
    every: All = False,
    json: Json = False,
    replace: Replace = False,
    limit: Allowed = None,
) -> None:
    """Find what is wrong with drawings before card is spoilt."""
    with show.reported():
        from cutprep.cli.jobs import check_sources, job_of_command

        job = job_of_command(sources, settings, limit=limit or ())
        faulty = check_sources(job, json=json, every=every, picture=picture, replace=replace)
    raise typer.Exit(1 if faulty else 0)


@app.command()
def verify(
    folder: Annotated[Path, typer.Argument(help="Folder that `prepare` wrote.", show_default=False)],
    accept: Annotated[
        list[str] | None,
        typer.Option(
            metavar="FILE", help="Take this changed file as it is; the job sheet says what changed."
        ),
    ] = None,
    limit: Followed = None,
    every: All = False,
    json: Json = False,
) -> None:
    """Compare a job's files with what was prepared, and its machine files with their plan."""
    with show.reported():
        from cutprep.cli.jobs import verify_folder

        differs = verify_folder(folder, accepted=accept or (), limit=limit or (), json=json, every=every)
    raise typer.Exit(1 if differs else 0)


@app.command()
@with_settings(["machine"])
def time(
    file: MachineFile,
    settings: dict[str, Any],
    language: Language = None,
    limit: Followed = None,
    json: Json = False,
) -> None:
    """Estimate how long a machine file runs."""
    with show.reported():
        from cutprep.cli.jobs import named_machine, time_file

        time_file(file, named_machine(settings), language, limit=limit or (), json=json)


@app.command()
@with_settings(["machine"])
def look(
    file: MachineFile,
    picture: Annotated[Path, typer.Option(help="The picture to write, .svg.", show_default=False)],
    settings: dict[str, Any],
    language: Language = None,
    limit: Followed = None,
    replace: Replace = False,
) -> None:
    """Draw what a machine file does, stroke by stroke."""
    with show.reported():
        from cutprep.cli.jobs import look_at, named_machine

        look_at(file, picture, named_machine(settings), language, limit=limit or (), replace=replace)


@app.command(cls=GroupedCommand)
@with_settings(["machine", "language", "stock", "sheet", "margin", "unit"])
def trial(
    settings: dict[str, Any],
    kind: Annotated[
        str | None,
        typer.Argument(
            metavar="KIND", help="force, offset, overcut, score, pass; all; times. None: show what is kept."
        ),
    ] = None,
    out: Annotated[Path | None, typer.Option(metavar="FOLDER", help="Folder for the trial.")] = None,
    best: Annotated[
        str | None,
        typer.Option(
            metavar="FIGURE", help="Keep this figure for the card on the machine; none: forget what is kept."
        ),
    ] = None,
    first: Annotated[str | None, typer.Option("--from", metavar="FIGURE", help="The first figure.")] = None,
    last: Annotated[str | None, typer.Option("--to", metavar="FIGURE", help="The last figure.")] = None,
    steps: Annotated[int, typer.Option(metavar="NUMBER", help="How many figures. Default: 8.")] = 8,
    corner: Annotated[
        str,
        typer.Option(metavar="CORNER", help="Of the card: lower-left, lower-right, upper-left, upper-right."),
    ] = "lower-left",
    no_pen: Annotated[
        bool, typer.Option("--no-pen", help="Write nothing on the card; the drawing is the key.")
    ] = False,
    seconds: Annotated[
        str | None,
        typer.Option(metavar="S,S,...", help="Measured seconds of the files of `times`, in their order."),
    ] = None,
    profile: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="With --seconds, where the fitted profile goes. Default: your own folder."
        ),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace what a trial wrote before, or your own profile.")
    ] = False,
    json: Json = False,
) -> None:
    """Try on a scrap how a machine works a card, and keep the best figure for both."""
    with show.reported():
        from cutprep.cli.own.trials import keep_best, machine_named, show_kept, write_trial
        from cutprep.job.own.trial import Span

        if kind is None:
            show_kept(json=json)
        elif kind == "times":
            from cutprep.cli.machines.calibrating import fit_profile, write_trials

            name, language = machine_named(settings), settings.get("language")
            if seconds is None:
                write_trials(name, language, out, replace=replace)
            else:
                fit_profile(name, language, seconds, profile, replace=replace)
        elif best is not None:
            keep_best(kind, settings, best)
        else:
            span = Span(first, last, steps)
            write_trial(kind, settings, span, out, corner=corner, pen=not no_pen, replace=replace)


@app.command()
@with_settings(["machine"])
def send(
    source: Annotated[
        Path,
        typer.Argument(
            metavar="JOB", help="Folder that `prepare` wrote, or one machine file.", show_default=False
        ),
    ],
    to: Annotated[
        str,
        typer.Option(
            metavar="PORT",
            help="A port that `cutprep ports` lists, HOST:PORT, or a folder to copy to.",
            show_default=False,
        ),
    ],
    settings: dict[str, Any],
    sheet: Annotated[
        int | None, typer.Option(min=1, help="Only this sheet, in the order of laying in.")
    ] = None,
    from_stroke: Annotated[
        int, typer.Option("--from-stroke", min=1, help="Begin at the start of this stroke.")
    ] = 1,
    frame: Annotated[
        bool, typer.Option("--frame", help="Go around the sheet with the tool up first, and wait.")
    ] = False,
    yes: Annotated[
        bool, typer.Option("--yes", help="Start without asking; one sheet, no change of tool by hand.")
    ] = False,
    language: Language = None,
    limit: Followed = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace other files of the same names in a folder.")
    ] = False,
) -> None:
    """Send a job to the machine, or copy it to a stick; stay beside the machine."""
    with show.reported():
        from cutprep.cli.machines.sending import send as send_it
        from cutprep.limits import raise_limits

        whole = send_it(
            source,
            to,
            settings,
            language=language,
            sheet=sheet,
            stroke=from_stroke,
            frame=frame,
            unasked=yes,
            replace=replace,
            limits=raise_limits(limit or ()),
        )
    raise typer.Exit(0 if whole else 1)


@app.command()
def ports(json: Json = False) -> None:
    """List the ways to a machine: serial ports, printers, sticks."""
    with show.reported():
        from cutprep.cli.machines.sending import list_ports

        list_ports(json=json)


@app.command()
def desk(
    folder: Annotated[
        Path | None, typer.Argument(help="Folder of the jobs; none: your own.", show_default=False)
    ] = None,
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port to serve at; 0: a free one.")] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only print the address, open nothing.")
    ] = False,
    launcher: Annotated[
        bool,
        typer.Option(
            "--launcher", help="Put something to double-click on your desktop, or into FOLDER; serve nothing."
        ),
    ] = False,
) -> None:
    """Do the whole job on a page in your browser, served by this machine for itself."""
    with show.reported():
        if launcher:
            from cutprep.desk.launcher import write_launcher

            path = write_launcher(folder)
            show.say(f"{path}: double-click it to open the desk.")
            return
        from cutprep.desk.serve import desk_folder, serve

        serve(folder or desk_folder(), port=port, browser=not no_browser, say=show.say)


@app.command(cls=GroupedCommand)
@with_settings([name for name, setting in SETTINGS.items() if setting.remembered])
def settings(
    settings: dict[str, Any],
    job: Annotated[
        Path | None,
        typer.Argument(
            metavar="JOB", help="A job file, or a folder that `prepare` wrote: show its settings instead."
        ),
    ] = None,
    forget: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME",
            help="Forget what you set: gap, or one rule: layers.lid.",
            rich_help_panel=_OUTPUT,
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Show your own settings; with options, keep those as your own for every command and the desk."""
    with show.reported():
        from cutprep.cli.own.settings import keep_settings, show_settings

        if job is not None and (settings or forget):
            raise JobError(
                "a job's settings are shown here, and changed in its file",
                fix="Leave the job out to change your own settings.",
            )
        if settings or forget:
            keep_settings(settings, forget or ())
        else:
            show_settings(job, json=json)


@app.command()
def machines(json: Json = False) -> None:
    """List the machine profiles, your own included."""
    with show.reported():
        from cutprep.cli.machines.profiles import list_machines

        list_machines(json=json)


@app.command()
def stocks(json: Json = False) -> None:
    """List the stock profiles, your own included."""
    with show.reported():
        from cutprep.cli.machines.profiles import list_stocks

        list_stocks(json=json)


for _command in (drawing_commands.mend, drawing_commands.fold):
    app.command(cls=GroupedCommand)(_command)
for _command in (drawing_commands.template, drawing_commands.new):
    app.command()(_command)


def main() -> None:
    """Run the command line."""
    show.let_any_sign_pass()
    app()
