"""Compile the search: `python -m tests.wasm` writes `engine.wasm` from the C sources beside it.

`python -m tests.wasm check` compiles and compares: it ends with 1 when the file that is shipped was not made from these
sources. The compiler comes as the wheel `ziglang`, in one version (pyproject.toml, extra `dev`): another may give other
bytes.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import cutprep

SOURCES = Path(cutprep.__file__).parent / "stages" / "order" / "tour" / "wasm"
SHIPPED = SOURCES / "engine.wasm"
#: -O2 with less inlining than usual: half the size, half the time to load it, and as quick within 5 %.
OPTIONS = (
    "--target=wasm32-freestanding", "-std=c11", "-O2", "-mllvm", "-inline-threshold=100",
    "-ffreestanding", "-fno-builtin", "-ffp-contract=off", "-fno-sanitize=undefined", "-nostdlib",
    "-Wall", "-Wextra", "-Werror", "-Wl,--no-entry", "-Wl,--strip-all",
)  # fmt: skip


def compiled() -> bytes:
    """The module, compiled now."""
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "engine.wasm"
        command = [sys.executable, "-m", "ziglang", "cc", *OPTIONS, "-o", str(made), "engine.c"]
        subprocess.run(command, cwd=SOURCES, check=True)
        return made.read_bytes()


def main(wanted: list[str]) -> int:
    code = compiled()
    if wanted == ["check"]:
        same = SHIPPED.read_bytes() == code
        print(
            "engine.wasm is made from these sources" if same else "engine.wasm is not made from these sources"
        )
        return 0 if same else 1
    SHIPPED.write_bytes(code)
    print(f"{SHIPPED.name}: {len(code)} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
