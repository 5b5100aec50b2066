"""The commands that make and mend drawings; `app` puts them on the command line.

Only typer is imported at the top, so that `cutprep --help` answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from cutprep.cli import show
from cutprep.cli.options import RULES, All, Allowed, Json, Replace, Source, with_settings
from cutprep.errors import JobError
from cutprep.job.settings.forms import in_mm
from cutprep.tolerance import STANDARD


@with_settings((*RULES, "keep", "unit"))
def mend(
    source: Source,
    out: Annotated[Path, typer.Option(help="The mended drawing, .svg or .dxf.", show_default=False)],
    settings: dict[str, Any],
    gap: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help=f"Largest gap that is closed. Default: {in_mm(STANDARD.gap)}."),
    ] = None,
    trim: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH",
            help=f"How much of a line past the outline is trimmed at most. Default: {in_mm(STANDARD.tail)}.",
        ),
    ] = None,
    straighten: Annotated[
        bool, typer.Option("--straighten", help="Straighten almost straight runs.")
    ] = False,
    arcs: Annotated[bool, typer.Option("--arcs", help="Make arcs whole that were split.")] = False,
    stubs: Annotated[
        bool, typer.Option("--stubs", help="Take out cuts under 3 mm that stand alone.")
    ] = False,
    picture: Annotated[Path | None, typer.Option(help="Before and after, .svg or .png.")] = None,
    every: All = False,
    replace: Replace = False,
    limit: Allowed = None,
) -> None:
    """Mend what is drawn twice, open or too long."""
    with show.reported():
        from cutprep.cli.drawings import mend_drawing
        from cutprep.cli.jobs import chosen, read_classified

        given = (("straighten", straighten), ("arcs", arcs), ("stubs", stubs))
        asked = frozenset(word for word, on in given if on)
        said = chosen(settings)
        drawing = read_classified(source, said, limit or ())
        faulty = mend_drawing(
            drawing,
            source,
            out,
            keep=said["keep"],
            gap=gap,
            trim=trim,
            ask=asked,
            picture=picture,
            every=every,
            replace=replace,
            unit=said["unit"],
        )
    raise typer.Exit(1 if faulty else 0)


@with_settings((*RULES, "stock", "fold_work", "unit"))
def fold(
    source: Source,
    settings: dict[str, Any],
    angles: Annotated[Path | None, typer.Option(help="Fold angles and seams you declare (.toml).")] = None,
    thickness: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Thickness of the card, in place of the stock's.")
    ] = None,
    holds: Annotated[
        str | None,
        typer.Option(
            metavar="LxWxH|FILE", help="Does this, or the box of another drawing, fit in, and how many?"
        ),
    ] = None,
    clearance: Annotated[str, typer.Option(metavar="LENGTH", help="Room between what it holds.")] = "0mm",
    fits: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TEXT", help="Does it fit: '2 over 1', '1 in 2', '40x40x60mm in 1'; may be repeated."
        ),
    ] = None,
    picture: Annotated[Path | None, typer.Option(help="Frames from flat to folded, .svg.")] = None,
    export: Annotated[Path | None, typer.Option(help="The folded part, .fold, .obj or .stl.")] = None,
    json: Json = False,
    replace: Replace = False,
    limit: Allowed = None,
) -> None:
    """Fold on the screen: does it close, how large is it."""
    with show.reported():
        from cutprep.cli.folding import fold_drawing
        from cutprep.cli.jobs import chosen, read_classified
        from cutprep.limits import raise_limits

        said = chosen(settings)
        drawing = read_classified(source, said, limit or ())
        faulty = fold_drawing(
            drawing,
            angles=angles,
            stock=said["stock"],
            thickness=thickness,
            inside=holds,
            clearance=clearance,
            picture=picture,
            export=export,
            json=json,
            replace=replace,
            fits=fits or (),
            unit=said["unit"],
            work=said["fold_work"] or raise_limits(limit or ()).fold_work,
        )
    raise typer.Exit(1 if faulty else 0)


@with_settings(["unit"])
def template(
    settings: dict[str, Any],
    kind: Annotated[
        str | None,
        typer.Argument(metavar="KIND|SET", help="Kind of template, or a set or its .toml; none: list them."),
    ] = None,
    dimensions: Annotated[
        list[str] | None, typer.Argument(metavar="KEY=VALUE...", help="Dimensions, such as length=150mm.")
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(help="The drawing to write, .svg or .dxf; of a set also a .toml or a folder."),
    ] = None,
    pictures: Annotated[
        Path | None,
        typer.Option(
            "--gallery", metavar="FOLDER", help="Write a page with pictures of every kind, flat and folded."
        ),
    ] = None,
    replace: Replace = False,
) -> None:
    """Draw a clean template from dimensions."""
    with show.reported():
        from cutprep.cli.drawings import draw_set, draw_template, is_set, list_kinds, write_gallery
        from cutprep.cli.jobs import chosen

        unit = chosen(settings)["unit"]
        if pictures is not None:
            write_gallery(pictures, replace=replace)
        elif kind is not None and is_set(kind):
            draw_set(kind, dimensions or (), out, replace=replace, unit=unit)
        elif kind is None or (out is None and not dimensions):
            list_kinds(kind, unit)
        elif out is None:
            raise JobError(
                "no file is named for the drawing, so nothing was drawn",
                fix="Add --out FILE.svg (or .dxf).",
            )
        else:
            draw_template(kind, dimensions or (), out, replace=replace, unit=unit)


def new(
    job: Annotated[Path, typer.Argument(help="The job file to write.", show_default=False)],
    templates: Annotated[list[Path], typer.Argument(help="SVG or DXF drawings.", show_default=False)],
    replace: Replace = False,
) -> None:
    """Write a commented job file for some drawings."""
    with show.reported():
        from cutprep.cli.drawings import start_job

        start_job(job, templates, replace=replace)
