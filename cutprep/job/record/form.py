"""The form of `job.json`: its name, and the digests that tell whether it is as it was written.

A digest is the SHA-256 of a canonical form: JSON without blanks, keys in order, characters beyond
ASCII escaped. So a file that a program has only laid out anew is still the same job.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Mapping
from typing import Any

SCHEMA = "cutprep-job/2"
#: Forms of earlier versions, of which placements can still be taken.
EARLIER = ("cutprep-job/1",)
DIGEST = "digest"
#: What stands for the points of a stroke while all else is encoded, and how it is found again.
_MARK, _MARKED = "\0{}", re.compile(r'"\\u0000(\d+)"')


def sha256(data: bytes) -> str:
    """The SHA-256 of a file, in hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def digests_of(data: Mapping[str, Any], filled: Callable[[str], str] = str) -> dict[str, Any]:
    """Digests of a job: one for each key, and one of them all.

    Parameters
    ----------
    data
        The whole object; its own digests are left out.
    filled
        Puts into the text of a value what was left out of it.
    """
    parts = {key: _digest(value, filled) for key, value in sorted(data.items()) if key != DIGEST}
    return {"parts": parts, "whole": _digest(parts)}


def changed_parts(data: Mapping[str, Any]) -> tuple[str, ...]:
    """Keys whose content is not what the digests of a job say; lost and added ones too."""
    held = data.get(DIGEST)
    kept = held.get("parts") if isinstance(held, dict) else None
    if not isinstance(kept, dict):
        return (DIGEST,)
    now = digests_of(data)
    changed = [key for key in sorted({*kept, *now["parts"]}) if kept.get(key) != now["parts"].get(key)]
    return tuple(changed) or (() if held == now else (DIGEST,))


def _digest(value: Any, filled: Callable[[str], str] = str) -> str:
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)
    return sha256(filled(text).encode("ascii"))


def as_text(data: Mapping[str, Any]) -> str:
    """The content of a `job.json`, with its digests behind all else."""
    whole = {key: value for key, value in data.items() if key != DIGEST}
    rest, points = _points_aside(whole)
    text = _written(rest)
    if len(_MARKED.findall(text)) != len(points):
        rest, points, text = whole, [], _written(whole)  # a name in it looks like a mark

    def filled(text: str) -> str:
        return _MARKED.sub(lambda mark: points[int(mark[1])], text) if points else text

    return f'{filled(text)[:-1]},"{DIGEST}":{_written(digests_of(rest, filled))}}}\n'


def _written(data: Mapping[str, Any]) -> str:
    return json.dumps(data, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _points_aside(data: Mapping[str, Any]) -> tuple[dict[str, Any], list[str]]:
    """Data with a mark for the points of each stroke of its plans, and these as text.

    They are nearly all of a large file, and numbers are the same in the canonical form and in the written one: so they are
    encoded once.
    """
    points: list[str] = []
    sheets = []
    for sheet in data.get("sheets", ()):
        strokes = []
        for stroke in sheet["plan"]["strokes"]:
            strokes.append({**stroke, "xy": _MARK.format(len(points))})
            points.append(json.dumps(stroke["xy"], separators=(",", ":"), allow_nan=False))
        sheets.append({**sheet, "plan": {**sheet["plan"], "strokes": strokes}})
    return {**data, **({"sheets": sheets} if sheets else {})}, points
