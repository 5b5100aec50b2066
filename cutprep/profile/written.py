"""A machine or a card as TOML text, so that fitted figures and her own cards can be kept in files of the maker's own."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutprep.profile.line import line_toml
from cutprep.profile.machine import GcodeStyle, HpglStyle, Machine, Tool
from cutprep.profile.stock import Stock
from cutprep.tables import quoted


def machine_toml(machine: Machine) -> str:
    """Write a profile; `load_machine` reads the same machine from it."""
    rows = [
        f"title = {quoted(machine.title)}",
        f"note = {quoted(machine.note)}",
        f"area = {_size(machine.width, machine.height)}",
        f"languages = {_texts(machine.languages)}",
        f"origin = {quoted(machine.origin)}",
        f"swapped = {_flag(machine.swapped)}",
        f"home = [{_mm(machine.home[0])}, {_mm(machine.home[1])}]",
        f"hold_bridges = {_flag(machine.hold_bridges)}",
        f"score_by = {quoted(machine.score_by)}",
        f"first_turn = {quoted(machine.first_turn)}",
        f"one_file_for = {quoted(machine.one_file_for)}",
        f"first_edge = {quoted(machine.first_edge)}",
        f"frame = {_flag(machine.frame)}",
        "",
        "[motion]",
        *_both("acceleration", machine.acceleration),
        *_both("top_speed", machine.top_speed),
        f"path_acceleration = {machine.path_acceleration!r}",
        f"travel_speed = {machine.travel_speed!r}",
        f"junction = {_mm(machine.junction)}",
        f"blocks = {machine.blocks}",
        f"lift = {machine.lift!r}",
        f"lower = {machine.lower!r}",
        f"change = {machine.change!r}",
        f"change_how = {quoted(machine.change_how)}",
        *_hpgl(machine.hpgl),
        *_gcode(machine.gcode),
        *line_toml(machine.line),
    ]
    for tool in machine.tools:
        rows += _tool(tool)
    return "\n".join(rows) + "\n"


def _both(key: str, values: tuple[float, float]) -> list[str]:
    return [f"{key}_x = {values[0]!r}", f"{key}_y = {values[1]!r}"]


def _hpgl(style: HpglStyle) -> list[str]:
    return [
        "",
        "[hpgl]",
        f"unit = {_mm(style.unit)}",
        f"send_speed = {_flag(style.send_speed)}",
        f"send_force = {_flag(style.send_force)}",
        f"pairs = {style.pairs}",
        f"arcs = {_flag(style.arcs)}",
        f"line_types = {_flag(style.line_types)}",
        f"counts = {quoted(style.counts)}",
        f"encoded = {_flag(style.encoded)}",
    ]


def _gcode(style: GcodeStyle) -> list[str]:
    return [
        "",
        "[gcode]",
        f"lift = {quoted(style.lift)}",
        f"up_z = {_mm(style.up_z)}",
        f"down_z = {_mm(style.down_z)}",
        f"plunge = {style.plunge!r}",
        f"up_s = {style.up_s!r}",
        f"down_s = {style.down_s!r}",
        f"up_words = {_texts(style.up_words)}",
        f"down_words = {_texts(style.down_words)}",
        f"dwell = {style.dwell!r}",
        f"dwell_unit = {quoted(style.dwell_unit)}",
        f"start = {_texts(style.start)}",
        f"end = {_texts(style.end)}",
        f"change = {_texts(style.change)}",
        f"change_by = {quoted(style.change_by)}",
        f"arcs = {_flag(style.arcs)}",
    ]


def _tool(tool: Tool) -> list[str]:
    rows = [
        "",
        "[[tool]]",
        f"name = {quoted(tool.name)}",
        f"kind = {quoted(tool.kind)}",
        f"number = {tool.number}",
        f"does = {_texts([op.word for op in tool.does])}",
        f"speed = {tool.speed!r}",
        f"most_force = {tool.most_force!r}",
        f"part_force = {tool.part_force!r}",
        f"offset = {_mm(tool.offset)}",
        f"overcut = {_mm(tool.overcut)}",
        f"layer = {quoted(tool.layer)}",
        f"colour = {quoted(tool.colour)}",
    ]
    return rows if math.isnan(tool.force) else [*rows, f"force = {tool.force!r}"]


def _mm(value: float) -> str:
    return quoted(f"{value:.6f}mm")


def _size(width: float, height: float) -> str:
    return quoted(f"{width:.6f}x{height:.6f}mm")


def _texts(values: Sequence[str]) -> str:
    return f"[{', '.join(map(quoted, values))}]"


def _flag(value: bool) -> str:
    return "true" if value else "false"


def stock_toml(stock: Stock) -> str:
    """Write a card as TOML; reading it again gives the same card, but for what trials of it gave."""
    rows = [
        f"title = {quoted(stock.title)}",
        f"caliper = {_mm(stock.caliper)}",
        f"strip = {_mm(stock.strip)}",
        f"speed_factor = {stock.speed_factor!r}",
        f"passes = {stock.passes}",
        f"colour = {quoted(stock.colour)}",
        f"note = {quoted(stock.note)}",
    ]
    rows += [f"grain = {stock.grain!r}"] * (stock.grain is not None)
    rows += [f"grammage = {stock.grammage!r}"] * math.isfinite(stock.grammage)
    for size in stock.sheets:
        rows += ["", "[[sheet]]", f"name = {quoted(size.name)}", f"size = {_size(size.width, size.height)}"]
        rows += [f"at_hand = {size.at_hand}"] * (size.at_hand is not None)
        rows += [f"price = {size.price!r}"] * (size.price is not None)
    return "\n".join(rows) + "\n"
