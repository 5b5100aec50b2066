"""A machine profile inside `job.json`, so that a job can be proved without the profile at hand."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from cutprep.model.operation import Operation
from cutprep.profile.machine import GcodeStyle, HpglStyle, Machine, Tool


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
    styles = {"hpgl": HpglStyle(**data["hpgl"]), "gcode": GcodeStyle(**_tupled(data["gcode"]))}
    return Machine(**{**_tupled(data), "tools": tools, **styles})


def _tupled(data: dict[str, Any]) -> dict[str, Any]:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in data.items()}


def _said(force: float) -> float | None:
    return force if math.isfinite(force) else None
