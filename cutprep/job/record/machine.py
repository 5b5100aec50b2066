"""A machine profile inside `job.json`, so that a job can be proved without the profile at hand."""

from __future__ import annotations

import math
import tomllib
from dataclasses import asdict, fields, is_dataclass, replace
from typing import Any

from cutprep.errors import ProfileError
from cutprep.model.operation import Operation
from cutprep.profile.line import LineStyle
from cutprep.profile.machine import GcodeStyle, HpglStyle, Machine, Tool
from cutprep.profile.machine_table import machine_from
from cutprep.profile.written import machine_toml
from cutprep.tables import Table


def machine_data(machine: Machine) -> dict[str, Any]:
    """A machine profile as plain data, so that a file can be verified without the profile at hand."""
    data = asdict(machine)
    data["tools"] = [
        {**tool, "does": [Operation(op).word for op in tool["does"]], "force": _said(tool["force"])}
        for tool in data["tools"]
    ]
    return data


def machine_from_data(data: dict[str, Any]) -> Machine:
    """Rebuild a machine from `machine_data`.

    Raises
    ------
    KeyError, ValueError, TypeError
        When the data is not of that form.
    ProfileError
        When a value is none that a profile may have.
    """
    words = {op.word: op for op in Operation}
    tools = tuple(
        Tool(
            **{
                **tool,
                "does": tuple(words[word] for word in tool["does"]),
                "force": float("nan") if tool["force"] is None else float(tool["force"]),
            }
        )
        for tool in data["tools"]
    )
    styles = {
        "hpgl": HpglStyle(**data["hpgl"]),
        "gcode": GcodeStyle(**_tupled(data["gcode"])),
        "line": LineStyle(**data.get("line", {})),  # jobs of before know of none
    }
    machine = Machine(**{**_tupled(data), "tools": tools, **styles})
    # What a profile may say is known in one place: where profiles are read.
    said = tomllib.loads(machine_toml(machine))
    known = machine_from(Table(said, file="machine_profile", error=ProfileError), machine.name)
    if not _alike(asdict(machine), asdict(known)):
        raise TypeError("a value of the profile is of another kind")
    in_floats: Machine = _in_floats(machine, known)
    return in_floats


def _in_floats(value: Any, known: Any) -> Any:
    """The same, with whole numbers as floats where the other has floats: JSON knows no difference, and no largest."""
    if is_dataclass(known) and not isinstance(known, type):
        named = {f.name: _in_floats(getattr(value, f.name), getattr(known, f.name)) for f in fields(known)}
        return replace(value, **named)
    if isinstance(known, tuple):
        return tuple(map(_in_floats, value, known))
    return float(value) if isinstance(known, float) else value


def _alike(value: Any, known: Any) -> bool:
    """Whether a value is of the kind of another: a number, a word, or as many of their like."""
    if isinstance(known, dict):
        return isinstance(value, dict) and all(_alike(value[key], known[key]) for key in known)
    if isinstance(known, tuple):
        return type(value) is tuple and len(value) == len(known) and all(map(_alike, value, known))
    return type(value) is type(known) or (isinstance(known, float) and type(value) is int)


def _tupled(data: dict[str, Any]) -> dict[str, Any]:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in data.items()}


def _said(force: float) -> float | None:
    return force if math.isfinite(force) else None
