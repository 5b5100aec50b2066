"""What the maker says about folding, beside the drawing."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Declared:
    """Declarations."""

    thickness: float | None = None
