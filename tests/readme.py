"""The commands of README.md, and its pictures: `python -m tests.readme` draws them anew."""

from __future__ import annotations

import re
import shlex
import shutil
from contextlib import chdir
from pathlib import Path
from tempfile import TemporaryDirectory

import cutprep

ROOT = Path(cutprep.__file__).parent.parent
README = ROOT / "README.md"
PICTURES = ROOT / "docs" / "pictures"
#: What stands in docs/pictures, by the name that `prepare --pictures` gives it.
DRAWN = {"sheet.svg": "picture-sheet-01.svg", "folding.svg": "picture-template-01-folding-1.svg"}


def blocks() -> list[str]:
    """Everything to type in a shell, block by block."""
    return re.findall(r"```sh\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)


def commands(block: str) -> list[list[str]]:
    """What a block types, command by command, without its remarks."""
    found = []
    for row in block.strip().splitlines():
        words = shlex.split(row, comments=True)
        while "&&" in words:
            cut = words.index("&&")
            found.append(words[:cut])
            words = words[cut + 1 :]
        found.append(words)
    return found


def draw() -> None:
    """Draw the pictures of the README by its own job."""
    from cutprep.job.api import make_job, prepare_job
    from cutprep.job.folder.outputs import pictures

    with TemporaryDirectory() as folder, chdir(folder):
        shutil.copytree(ROOT / "samples", "samples")
        words = next(words for words in commands(blocks()[0]) if "prepare" in words)
        options = dict(zip(words[3::2], words[4::2], strict=True))
        job = make_job(words[2], copies=int(options["--copies"]), machine=options["--machine"])
        made = pictures(prepare_job(job))
    PICTURES.mkdir(exist_ok=True)
    for name, source in DRAWN.items():
        (PICTURES / name).write_text(made[source], encoding="utf-8")


if __name__ == "__main__":
    draw()
