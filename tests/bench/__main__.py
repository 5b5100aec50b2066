"""List the benchmarks: `python -m tests.bench`; run the one table of ratios: `python -m tests.bench table`."""

from __future__ import annotations

import ast
import sys
from pathlib import Path


def main() -> None:
    """Print every benchmark with the first line of what it says of itself, or run the table."""
    if sys.argv[1:2] == ["table"]:
        from tests.bench.table import main as table

        table(sys.argv[2:])
        return
    for path in sorted(Path(__file__).parent.glob("*.py")):
        if not path.name.startswith("_"):
            said = (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").splitlines()
            print(f"python -m tests.bench.{path.stem:12s} {said[0] if said else ''}")


if __name__ == "__main__":
    main()
