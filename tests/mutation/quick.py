"""For the runs of mutants: hypothesis looks for one failure and does not shrink it.

The examples are the same in each run, so that a mutant's fate does not hang on chance.
"""

from __future__ import annotations

from hypothesis import Phase, settings

settings.register_profile(
    "mutation", phases=(Phase.explicit, Phase.generate), derandomize=True, database=None, deadline=None
)
settings.load_profile("mutation")
