"""The commands about the maker's own things; `app` puts them on the command line.

Only typer is imported at the top, so that `cutprep --help` answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from cutprep.cli import show
from cutprep.cli.options import Allowed, Json, with_settings
from cutprep.cli.plain import whole_number_from
from cutprep.errors import JobError
from cutprep.job.settings.setting import Group
from cutprep.job.settings.table import SETTINGS


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
            rich_help_panel=Group.OUTPUT.value,
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


@with_settings(["stock", "caliper", "card_grain", "card_passes", "speed_factor", "sheet", "at_hand", "price"])
def card(
    name: Annotated[
        str,
        typer.Argument(metavar="NAME", help="What you call the card: brown-kraft.", show_default=False),
    ],
    settings: dict[str, Any],
    title: Annotated[str | None, typer.Option(metavar="TEXT", help="A line for lists and sheets.")] = None,
    shade: Annotated[
        str | None, typer.Option("--shade", metavar="#RRGGBB", help="Its colour, for the job sheet.")
    ] = None,
    used: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="The job in this folder was cut: count its sheets down."),
    ] = None,
) -> None:
    """Keep a card of your own, like one that is known: thickness, colour, what a sheet costs."""
    with show.reported():
        if used is not None:
            from cutprep.cli.jobs import chosen
            from cutprep.job.own.counted import count_down
            from cutprep.units import in_unit

            if settings or title or shade:
                raise JobError("a card is changed, or counted down", fix="Use two commands.")
            show.say(in_unit(count_down(name, used), chosen({})["unit"]))
            return
        from cutprep.cli.options import option_of
        from cutprep.job.own.cards import keep_card

        show.say(
            f"{keep_card(name, settings, option_of, title=title, shade=shade)}; take it with --stock {name}."
        )


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
        from cutprep.cli.own.trials import keep_figure_of, machine_named, show_kept, write_trial
        from cutprep.job.own.trial import Span

        if kind is None:
            from cutprep.cli.jobs import chosen

            show_kept(json=json, unit=chosen(settings)["unit"])
        elif kind == "times":
            from cutprep.cli.machines.calibrating import fit_profile, write_trials

            name, language = machine_named(settings), settings.get("language")
            if seconds is None:
                write_trials(name, language, out, replace=replace)
            else:
                fit_profile(name, language, seconds, profile, replace=replace)
        elif best is not None:
            keep_figure_of(kind, settings, best)
        else:
            span = Span(first, last, steps)
            write_trial(kind, settings, span, out, corner=corner, pen=not no_pen, replace=replace)


@with_settings(["machine", "stock", "sheet", "offcut", "effort"])
def again(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Folder that `prepare` wrote.", show_default=False)
    ],
    out: Annotated[Path, typer.Option(metavar="FOLDER", help="Folder for the new job.", show_default=False)],
    settings: dict[str, Any],
    sources: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[DRAWING]", help="Its drawings, or its job file, where they are not here."),
    ] = None,
    spoilt: Annotated[
        str | None,
        typer.Option(metavar="C4,C7", help="Marks of the spoilt copies, as on the job sheet."),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace what cutprep wrote into the folder before.")
    ] = False,
    limit: Allowed = None,
) -> None:
    """Make copies again that were spoilt, as a small job of their own."""
    with show.reported():
        from cutprep.cli.own.remaking import make_again

        make_again(folder, sources or [], settings, out, spoilt or "", replace=replace, limit=limit or ())


@with_settings(["unit"])
def offcuts(
    settings: dict[str, Any],
    keep: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Keep what the job in this folder left of its sheets."),
    ] = None,
    sheet: Annotated[
        int | None,
        typer.Option(metavar="NUMBER", parser=whole_number_from(1), help="With --keep: of this sheet only."),
    ] = None,
    forget: Annotated[
        list[str] | None, typer.Option(metavar="NAME", help="Forget one that is used up; may be repeated.")
    ] = None,
    json: Json = False,
) -> None:
    """List what is left of sheets, for the next job; keep more of it."""
    with show.reported():
        from cutprep.cli.jobs import chosen
        from cutprep.cli.own.offcuts import forget_offcuts, keep_offcuts, list_offcuts

        unit = chosen(settings)["unit"]
        if keep is not None:
            keep_offcuts(keep, sheet, unit)
        if forget:
            forget_offcuts(forget)
        if keep is None and not forget:
            list_offcuts(json=json, unit=unit)
