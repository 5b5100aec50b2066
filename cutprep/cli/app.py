"""The commands: arguments to a job, the job to the pipeline, errors to exit codes.

Only typer and rich are imported at the top. Whatever loads numpy, shapely or ezdxf is
imported inside a command, so that `cutprep --help` answers at once.

Exit codes: 0 fine; 1 the drawing has errors, or a machine file is not what was planned; 2 the
input or the options can't be used; 3 a fault of cutprep's own, with the details in a file.
"""

from __future__ import annotations

import atexit
import gc
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
from cutprep.cli.own import commands
from cutprep.cli.plain import PlainGroup, whole_number_from
from cutprep.job.settings.setting import Group
from cutprep.job.settings.table import SETTINGS

#: How often Python's garbage collector looks for reference cycles. Hardly anything here lies in one, and its usual pace takes
#: a twentieth of a short job.
SELDOM = (50_000, 20, 100)
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
    keep_job: Annotated[
        Path | None,
        typer.Option(
            "--keep-job",
            metavar="DIR",
            help="Keep the job there, every value written out, with its drawings and profiles.",
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
        from cutprep.cli.own.offcuts import offer
        from cutprep.cli.own.settings import write_kept
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
        offer(job, outcome)
        if keep_job is not None:
            write_kept(job, sources, keep_job, replace=replace)
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
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Folder that `prepare` wrote.", show_default=False)
    ],
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
        int | None,
        typer.Option(
            metavar="NUMBER", parser=whole_number_from(1), help="Only this sheet, in the order of laying in."
        ),
    ] = None,
    from_file: Annotated[
        str | None,
        typer.Option(
            "--from-file", metavar="NAME", help="Begin with this file of the sheet.", show_default=False
        ),
    ] = None,
    from_stroke: Annotated[
        int,
        typer.Option(
            "--from-stroke",
            metavar="NUMBER",
            parser=whole_number_from(1),
            help="Begin at the start of this stroke.",
        ),
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
            file=from_file,
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
    port: Annotated[
        int,
        typer.Option(
            metavar="NUMBER", parser=whole_number_from(0, 65535), help="Port to serve at; 0: a free one."
        ),
    ] = 0,
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


for _command in (
    drawing_commands.mend,
    drawing_commands.fold,
    commands.settings,
    commands.trial,
    commands.card,
    commands.again,
):
    app.command(cls=GroupedCommand)(_command)
for _command in (drawing_commands.template, drawing_commands.new, commands.offcuts):
    app.command()(_command)


def main() -> None:
    """Run the command line."""
    show.let_any_sign_pass()
    gc.set_threshold(*SELDOM)
    atexit.register(gc.freeze)  # the interpreter would look twice more as it ends
    app()
