"""Settings of all tests: no example is held to a time, since a loaded machine would fail it."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
