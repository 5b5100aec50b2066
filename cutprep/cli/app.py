"""The commands: arguments to a job, the job to the pipeline, errors to exit codes.

Only typer and rich are imported at the top. Whatever loads numpy, shapely or ezdxf is
imported inside a command, so that `cutprep --help` answers at once.

Exit codes: 0 fine; 1 the drawing has errors, or a machine file is not what was planned; 2 the
input or the options can't be used; 3 a fault of cutprep's own, with the details in a file.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cutprep.cli import drawing_commands, show
from cutprep.cli.options import (
    DEFAULT_MACHINE,
    DEFAULT_STOCK,
    All,
    Allowed,
    Colours,
    Dashed,
    Expect,
    Fills,
    Json,
    Keep,
    Language,
    Layers,
    MachineFile,
    MachineName,
    Replace,
    SheetName,
    Sources,
    StockName,
    Units,
)
from cutprep.cli.plain import PlainGroup, whole_number

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


@app.command()
def prepare(
    context: typer.Context,
    sources: Annotated[
        list[Path],
        typer.Argument(
            metavar="DRAWING", help="SVG or DXF drawings, or one job file (.toml).", show_default=False
        ),
    ],
    out: Annotated[Path, typer.Option(metavar="FOLDER", help="Folder for the results.", show_default=False)],
    copies: Annotated[
        int, typer.Option(help="Copies of each drawing.", parser=whole_number, metavar="NUMBER")
    ] = 1,
    machine: MachineName = DEFAULT_MACHINE,
    stock: StockName = DEFAULT_STOCK,
    language: Annotated[
        str | None, typer.Option(help="hpgl or gcode; without it, what the machine prefers.")
    ] = None,
    sheet: SheetName = None,
    gap: Annotated[str, typer.Option(metavar="LENGTH", help="Least distance between parts.")] = "3mm",
    margin: Annotated[str, typer.Option(metavar="LENGTH", help="Border of the sheet kept free.")] = "5mm",
    blade_offset: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Offset of the knife's tip, in place of the profile's."),
    ] = None,
    layer: Layers = None,
    colour: Colours = None,
    dashed: Dashed = None,
    fill_as_outline: Fills = False,
    units: Units = None,
    expect: Expect = None,
    seed: Annotated[
        int, typer.Option(help="Same seed, same result.", parser=whole_number, metavar="NUMBER")
    ] = 0,
    turns: Annotated[
        str, typer.Option(help="How copies may be turned: never (patterned card), half, quarter or free.")
    ] = "quarter",
    amount: Annotated[
        str, typer.Option(help="copies; or as many as one sheet holds; or as the stock at hand holds.")
    ] = "copies",
    keep_out: Annotated[
        list[str] | None,
        typer.Option(
            metavar="L,B,R,T|FILE",
            help="Area of every sheet that stays free: 0mm,0mm,50mm,80mm; "
            "or a drawing of what is used already: used.svg, used.svg:LAYER.",
        ),
    ] = None,
    places: Annotated[
        Path | None,
        typer.Option(metavar="JOB.JSON", help="Lay copies where this job.json says; checked, never moved."),
    ] = None,
    windows: Annotated[
        bool, typer.Option("--windows", help="Parts may lie in the waste windows of others.")
    ] = False,
    finish: Annotated[str, typer.Option(help="Finish each stage over the sheet, or each copy.")] = "sheet",
    travel_by: Annotated[str, typer.Option(help="Measure travel by length or by time.")] = "length",
    align: Annotated[
        list[str] | None,
        typer.Option(metavar="X,Y=X,Y", help="A point of the plan, and where it really lies on the mat."),
    ] = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="Say why each stroke stands where it does.")
    ] = False,
    also: Annotated[
        list[str] | None,
        typer.Option(help="Write more: svg, dxf, pdf, pictures or class-sheet; may be repeated."),
    ] = None,
    face_down: Annotated[
        bool, typer.Option("--face-down", help="Card is cut from its back: sheets are mirrored.")
    ] = False,
    students: Annotated[
        int,
        typer.Option(help="How many students the class sheet is for.", parser=whole_number, metavar="NUMBER"),
    ] = 0,
    pictures: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR", help="Pictures of sheets, templates and folding, for a page of your own."
        ),
    ] = None,
    effort: Annotated[str, typer.Option(help="How hard to look: quick, normal or thorough.")] = "normal",
    title: Annotated[str | None, typer.Option(help="Title of the job sheet.")] = None,
    inches: Annotated[bool, typer.Option("--inches", help="Lengths on the job sheet in inches.")] = False,
    mend: Annotated[bool, typer.Option("--mend", help="Mend what can be mended safely first.")] = False,
    keep: Keep = "report",
    despite_findings: Annotated[
        bool, typer.Option("--despite-findings", help="Go on although the drawing has errors.")
    ] = False,
    every: All = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace what cutprep wrote into the folder before.")
    ] = False,
    from_elsewhere: Annotated[
        bool, typer.Option("--from-elsewhere", help="A job file may name files outside its folder.")
    ] = False,
    limit: Allowed = None,
) -> None:
    """Turn drawings into machine files and a job sheet."""
    with show.reported():
        from cutprep.cli.jobs import job_from_file, show_outcome, show_pictures, show_stopped
        from cutprep.cli.progress import progress_bar
        from cutprep.job.api import make_job, make_rules, prepare_job
        from cutprep.model.findings.finding import Stopped
        from cutprep.stages.read.limits import raise_limits

        if any(source.suffix.lower() == ".toml" for source in sources):
            job = job_from_file(context, sources, elsewhere=from_elsewhere)
        else:
            rules = make_rules(
                layer or (), colours=colour or (), dashed=dashed, fill_as_outline=fill_as_outline
            )
            job = make_job(
                sources,
                copies=copies,
                machine=machine,
                stock=stock,
                language=language,
                sheet=sheet,
                gap=gap,
                margin=margin,
                blade_offset=blade_offset,
                rules=rules,
                units=units,
                expect=expect,
                seed=seed,
                effort=effort,
                despite_findings=despite_findings,
                mend=mend,
                keep=keep,
                title=title,
                unit="in" if inches else "mm",
                turns=turns,
                amount=amount,
                keep_out=keep_out or (),
                places=places,
                windows=windows,
                finish=finish,
                travel_by=travel_by,
                align=align or (),
                explain=explain,
                also=also or (),
                face_down=face_down,
                students=students,
                limits=raise_limits(limit or ()),
            )
        try:
            with progress_bar() as tell:
                outcome = prepare_job(job, out, replace=replace, progress=tell)
        except Stopped as stopped:
            show_stopped(stopped.findings, every=every)
            raise typer.Exit(1) from None
        show_outcome(outcome, out, every=every)
        if pictures is not None:
            show_pictures(outcome, pictures, replace=replace)


@app.command()
def check(
    context: typer.Context,
    sources: Sources,
    layer: Layers = None,
    colour: Colours = None,
    dashed: Dashed = None,
    fill_as_outline: Fills = False,
    units: Units = None,
    expect: Expect = None,
    machine: MachineName = DEFAULT_MACHINE,
    stock: StockName = DEFAULT_STOCK,
    sheet: SheetName = None,
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
        from cutprep.cli.jobs import check_sources, job_from_file
        from cutprep.job.api import make_job, make_rules
        from cutprep.stages.read.limits import raise_limits

        if any(source.suffix.lower() == ".toml" for source in sources):
            job = job_from_file(context, sources, elsewhere=False)
            raise typer.Exit(
                1 if check_sources(job, json=json, every=every, picture=picture, replace=replace) else 0
            )
        rules = make_rules(layer or (), colours=colour or (), dashed=dashed, fill_as_outline=fill_as_outline)
        job = make_job(
            sources,
            machine=machine,
            stock=stock,
            sheet=sheet,
            rules=rules,
            units=units,
            expect=expect,
            limits=raise_limits(limit or ()),
        )
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
    every: All = False,
    json: Json = False,
) -> None:
    """Compare a job's files with what was prepared, and its machine files with their plan."""
    with show.reported():
        from cutprep.cli.jobs import verify_folder

        differs = verify_folder(folder, accepted=accept or (), json=json, every=every)
    raise typer.Exit(1 if differs else 0)


@app.command()
def time(
    file: MachineFile,
    machine: MachineName = DEFAULT_MACHINE,
    language: Language = None,
    json: Json = False,
) -> None:
    """Estimate how long a machine file runs."""
    with show.reported():
        from cutprep.cli.jobs import time_file

        time_file(file, machine, language, json=json)


@app.command()
def look(
    file: MachineFile,
    picture: Annotated[Path, typer.Option(help="The picture to write, .svg.", show_default=False)],
    machine: MachineName = DEFAULT_MACHINE,
    language: Language = None,
    replace: Replace = False,
) -> None:
    """Draw what a machine file does, stroke by stroke."""
    with show.reported():
        from cutprep.cli.jobs import look_at

        look_at(file, picture, machine, language, replace=replace)


@app.command()
def calibrate(
    machine: Annotated[str, typer.Argument(help="Machine profile, or a .toml file.", show_default=False)],
    out: Annotated[Path | None, typer.Option(help="Folder for the trial files.")] = None,
    times: Annotated[
        str | None, typer.Option(metavar="S,S,...", help="Measured seconds of the trials, in their order.")
    ] = None,
    profile: Annotated[Path | None, typer.Option(help="The fitted profile to write, .toml.")] = None,
    language: Annotated[str | None, typer.Option(help="hpgl or gcode.")] = None,
    replace: Replace = False,
) -> None:
    """Write trial files to time, and fit a profile."""
    with show.reported():
        from cutprep.cli.calibrating import fit_profile, write_trials

        if times is None:
            write_trials(machine, language, out)
        else:
            fit_profile(machine, language, times, profile, replace=replace)


@app.command()
def machines(json: Json = False) -> None:
    """List the machine profiles, your own included."""
    with show.reported():
        from cutprep.cli.profiles import list_machines

        list_machines(json=json)


@app.command()
def stocks(json: Json = False) -> None:
    """List the stock profiles, your own included."""
    with show.reported():
        from cutprep.cli.profiles import list_stocks

        list_stocks(json=json)


for _command in (
    drawing_commands.mend,
    drawing_commands.fold,
    drawing_commands.template,
    drawing_commands.new,
):
    app.command()(_command)


def main() -> None:
    """Run the command line."""
    show.let_any_sign_pass()
    app()
