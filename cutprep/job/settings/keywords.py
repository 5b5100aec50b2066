"""The settings as keywords of Python, with their types; a test holds them to the table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TypedDict

from cutprep.profile.machine import Machine
from cutprep.profile.stock import Stock


class Settings(TypedDict, total=False):
    """Every setting, by its name; None counts as not given."""

    layers: Mapping[str, str] | Iterable[str] | None
    colours: Mapping[str, str] | Iterable[str] | None
    dashed: str | None
    fill_as_outline: bool | None
    units: str | None
    expect: str | tuple[float, float] | None
    pieces: Iterable[str | Mapping[str, str | int]] | None
    mend: bool | None
    keep: str | None
    leave: Iterable[str | Mapping[str, str | Iterable[float]]] | None
    fold_work: int | None
    despite_findings: bool | None
    stock: str | Path | Stock | None
    caliper: str | float | None
    card_grain: float | None
    card_passes: int | None
    speed_factor: float | None
    cut_force: float | None
    score_force: float | None
    card_offset: str | float | None
    card_overcut: str | float | None
    sheet: str | tuple[float, float] | None
    at_hand: int | None
    offcut: str | None
    price: float | None
    face_down: bool | None
    names: Path | str | Iterable[str] | None
    least_height: str | float | None
    font: Path | str | None
    copies: int | None
    sets: int | None
    spare: float | None
    amount: str | None
    gap: str | float | None
    margin: str | float | None
    printer_edge: str | float | None
    turns: str | None
    mirror: bool | None
    pieces_apart: bool | None
    grain: float | None
    windows: bool | None
    keep_out: Iterable[str] | None
    places: Path | str | None
    lay_rest: bool | None
    effort: str | None
    seed: int | None
    finish: str | None
    travel_by: str | None
    explain: bool | None
    machine: str | Path | Machine | None
    language: str | None
    blade_offset: str | float | None
    passes_count: int | None
    passes_force: Iterable[float] | None
    passes_by: str | None
    bridges_count: int | None
    bridges_spacing: str | float | None
    bridges_width: str | float | None
    bridges_clear: str | float | None
    perforation_cut: str | float | None
    perforation_gap: str | float | None
    from_back: str | None
    turn_by: str | None
    align: Iterable[str] | None
    align_off: str | float | None
    align_scale: float | None
    align_skew: float | None
    title: str | None
    unit: str | None
    also: Iterable[str] | None
    students: int | None
