"""For the runs of mutants: hypothesis looks for one failure and does not shrink it.

Loaded as a plugin of pytest (pyproject.toml, `tool.mutmut`). The examples are the same in each run,
so that a mutant's fate does not hang on chance. A mutant's tests run in a copy of the process in which
all tests ran before: what that has kept is forgotten first, or nobody would see what the mutant makes.
"""

from __future__ import annotations

import sys

from hypothesis import Phase, settings

settings.register_profile(
    "mutation", phases=(Phase.explicit, Phase.generate), derandomize=True, database=None, deadline=None
)
settings.load_profile("mutation")


def pytest_configure() -> None:
    """Forget what tests made above their functions, and what functions with a cache keep."""
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] == "tests" and "mutation" not in name and "conftest" not in name:
            del sys.modules[name]
        elif name.startswith("cutprep"):
            for value in vars(module).values():
                if hasattr(value, "cache_clear"):
                    value.cache_clear()
