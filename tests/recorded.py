"""Short cuts through a `job.json` of form 2, in which equal sheets stand once."""

from __future__ import annotations

from typing import Any


def every_sheet(data: dict[str, Any]) -> list[dict[str, Any]]:
    """A row for each sheet that is run, in the order of running."""
    return [sheet for sheet in data["sheets"] for _ in range(sheet["runs"])]


def machine_files(data: dict[str, Any]) -> list[str]:
    """Names of all machine files."""
    return sorted(file["name"] for sheet in data["sheets"] for file in sheet["files"])
