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
    return _digests({key: _canonical(value) for key, value in data.items() if key != DIGEST})


def _digests(texts: Mapping[str, str]) -> dict[str, Any]:
    """As `digests_of`, of parts in their canonical form."""
    parts = {key: sha256(text.encode("ascii")) for key, text in sorted(texts.items())}
    return {"parts": parts, "whole": sha256(_canonical(parts).encode("ascii"))}


def changed_parts(data: Mapping[str, Any]) -> tuple[str, ...]:
    """Keys whose content is not what the digests of a job say; lost and added ones too."""
    held = data.get(DIGEST)
    kept = held.get("parts") if isinstance(held, dict) else None
    if not isinstance(kept, dict):
        return (DIGEST,)
    now = digests_of(data)
    changed = [key for key in sorted({*kept, *now["parts"]}) if kept.get(key) != now["parts"].get(key)]
    return tuple(changed) or (() if held == now else (DIGEST,))


def _canonical(value: Any) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)


def as_text(data: Mapping[str, Any]) -> str:
    """The content of a `job.json`, with its digests: each part in the form that is digested, so written out once."""
    texts = {key: _canonical(value) for key, value in data.items() if key != DIGEST}
    texts[DIGEST] = _canonical(_digests(texts))
    return "{" + ",".join(f"{json.dumps(key)}:{text}" for key, text in texts.items()) + "}\n"
