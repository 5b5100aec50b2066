"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Sources = Annotated[
    list[Path], typer.Argument(metavar="DRAWING", help="SVG or DXF drawings.", show_default=False)
]
Source = Annotated[Path, typer.Argument(metavar="DRAWING", help="An SVG or DXF drawing.", show_default=False)]
MachineFile = Annotated[
    Path, typer.Argument(metavar="FILE", help="An HP-GL or G-code file.", show_default=False)
]
Language = Annotated[
    str | None,
    typer.Option("--language", metavar="LANGUAGE", help="hpgl or gcode; without it, the file itself tells."),
]
Layers = Annotated[
    list[str] | None,
    typer.Option("--layer", metavar="NAME=OPERATION", help="What a layer is for: lid=cut, marks=guide ..."),
]
Colours = Annotated[
    list[str] | None,
    typer.Option("--colour", "--color", metavar="#RRGGBB=OPERATION", help="What a stroke colour is for."),
]
Dashed = Annotated[
    str | None,
    typer.Option(metavar="OPERATION", help="What dashed lines are for that nothing else places."),
]
Fills = Annotated[
    bool, typer.Option("--fill-as-outline", help="Take filled shapes without a stroke as outlines.")
]
Units = Annotated[
    str | None, typer.Option(metavar="UNIT", help="Unit of a drawing that names none: mm, in ...")
]
Keep = Annotated[
    str,
    typer.Option(
        metavar="WORD",
        help="With mending, where a score lies under a cut: report, or keep cut, score, outline.",
    ),
]
Expect = Annotated[
    str | None, typer.Option(metavar="SIZE", help="Size the drawing should have: 130x95mm, 5 1/8x3 3/4in.")
]
MachineName = Annotated[
    str, typer.Option("--machine", metavar="NAME", help="Machine profile, or a .toml file.")
]
StockName = Annotated[str, typer.Option("--stock", metavar="NAME", help="Stock profile, or a .toml file.")]
SheetName = Annotated[
    str | None, typer.Option("--sheet", metavar="NAME|SIZE", help="Sheet: A4, 12in, 305x305mm ...")
]
All = Annotated[bool, typer.Option("--all", help="Show every finding by itself, not by kind.")]
Json = Annotated[bool, typer.Option("--json", help="Print plain data for scripts.")]
Allowed = Annotated[
    list[str] | None,
    typer.Option("--limit", metavar="NAME=NUMBER", help="Allow more than the safe limit: docs/SAFETY.md."),
]
Replace = Annotated[bool, typer.Option("--replace", help="Replace the file.")]

DEFAULT_MACHINE, DEFAULT_STOCK = "mat-cutter-300", "card-220"
