"""The form of `job.json`: its name, and the digests that tell whether it is as it was written.

A digest is the SHA-256 of a canonical form: JSON without blanks, keys in order, characters beyond
ASCII escaped. So a file that a program has only laid out anew is still the same job.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

SCHEMA = "cutprep-job/2"
#: Forms of earlier versions, of which placements can still be taken.
EARLIER = ("cutprep-job/1",)
DIGEST = "digest"


def sha256(data: bytes) -> str:
    """The SHA-256 of a file, in hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def digests_of(data: Mapping[str, Any]) -> dict[str, Any]:
    """Digests of a job: one for each key, and one of them all.

    Parameters
    ----------
    data
        The whole object; its own digests are left out.
    """
    parts = {key: _digest(value) for key, value in sorted(data.items()) if key != DIGEST}
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


def _digest(value: Any) -> str:
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)
    return sha256(text.encode("ascii"))


def as_text(data: Mapping[str, Any]) -> str:
    """The content of a `job.json`, with its digests."""
    whole = {**{key: value for key, value in data.items() if key != DIGEST}, DIGEST: digests_of(data)}
    return json.dumps(whole, separators=(",", ":"), ensure_ascii=False, allow_nan=False) + "\n"
