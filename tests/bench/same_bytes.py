"""Every output of the samples beside another state of the code: `python -m tests.bench.same_bytes REF`.

REF is a commit, a branch or a tag. Its package and this one each run the same commands on the samples of this
tree and on every kind of template that REF draws: check, mend, fold with its exports, prepare in both languages
with every further file. Each file whose bytes differ is named, each that only one of them writes, and each
command that ends otherwise or says otherwise. `job.json` is counted by itself, since its form may change.
"""

from __future__ import annotations

import argparse
import io
import shutil
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "samples"

#: Runs commands in one process: each argument is one command, its words parted by tabs.
RUNNER = """
import contextlib, io, sys
from pathlib import Path
from cutprep.cli.app import main
for row in Path("commands.txt").read_text(encoding="utf-8").splitlines():
    name, *words = row.split("\\t")
    said, code = io.StringIO(), 0
    sys.argv = ["cutprep", *words]
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            main()
    except SystemExit as end:
        code = end.code or 0
    Path("said", name + ".txt").write_text(f"{said.getvalue()}\\nexit {code}\\n", encoding="utf-8")
"""
EVERY_FILE = [w for more in ("svg", "dxf", "pdf", "pictures", "class-sheet") for w in ("--also", more)]
LANGUAGES = {"hpgl": "mat-cutter-300", "gcode": "belt-servo-400"}


def tree_of(ref: str, folder: Path) -> Path:
    """Unpack the package as it stands at a ref."""
    packed = subprocess.run(
        ["git", "archive", ref, "cutprep"], cwd=ROOT, check=True, capture_output=True
    ).stdout
    with tarfile.open(fileobj=io.BytesIO(packed)) as archive:
        archive.extractall(folder, filter="data")
    return folder


def kinds_of(tree: Path) -> list[str]:
    """Kinds of template that a tree draws."""
    script = "from cutprep.template.kinds import KINDS; print(*sorted(KINDS))"
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=tree, check=True, capture_output=True, text=True
    )
    return done.stdout.split()


def about(drawing: str, name: str) -> dict[str, list[str]]:
    """Give the commands that look at a drawing, fold it and prepare it, by name."""
    rows = {
        f"check-{name}": ["check", drawing, "--json", "--all"],
        f"marked-{name}": ["check", drawing, "--picture", f"{name}-marked.svg"],
        f"mend-{name}": ["mend", drawing, "--keep", "cut", "--out", f"{name}-mended.svg"],
        f"fold-{name}": ["fold", drawing, "--json", "--picture", f"{name}-fold.svg"],
    }
    rows |= {
        f"export-{name}-{kind}": ["fold", drawing, "--export", f"{name}.{kind}"]
        for kind in ("fold", "obj", "stl")
    }
    for language, machine in LANGUAGES.items():
        words = ["prepare", drawing, "--copies", "3", "--machine", machine, "--language", language]
        words += ["--effort", "quick", "--students", "2", "--mend", "--keep", "cut", "--despite-findings"]
        rows[f"prepare-{name}-{language}"] = [*words, "--out", f"{name}-{language}", *EVERY_FILE]
    return rows


def commands(kinds: list[str], few: bool) -> dict[str, list[str]]:
    """Every command, by name."""
    drawings = sorted(SAMPLES.glob("*.svg")) if few else sorted(SAMPLES.rglob("*.[sd][vx][gf]"))
    rows: dict[str, list[str]] = {}
    for path in drawings:
        place = path.relative_to(ROOT).as_posix()
        rows |= about(place, place.removeprefix("samples/").replace("/", "-").replace(".", "-"))
    for kind in kinds[::4] if few else kinds:
        rows[f"template-{kind}"] = ["template", kind, "--out", f"{kind}.svg"]
        rows[f"template-dxf-{kind}"] = ["template", kind, "--out", f"{kind}.dxf"]
        rows |= about(f"{kind}.svg", kind)
    rows["honey-fair"] = ["prepare", "samples/honey-fair.toml", "--effort", "quick", "--out", "honey-fair"]
    rows["time"] = ["time", "honey-fair/sheet-01-honey-yellow.hpgl"]
    rows["machines"], rows["stocks"] = ["machines"], ["stocks"]
    return rows


def run(tree: Path, rows: dict[str, list[str]], folder: Path) -> dict[str, bytes]:
    """Run all commands with the package of a tree, in a folder of its own; every file by its name."""
    shutil.copytree(SAMPLES, folder / "samples")
    (folder / "said").mkdir()
    (folder / "commands.txt").write_text(
        "".join("\t".join([name, *words]) + "\n" for name, words in rows.items()), encoding="utf-8"
    )
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(tree)!r})\n{RUNNER}"],
        cwd=folder,
        check=False,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        sys.exit(f"{tree}: {done.stderr}")
    files = [p for p in sorted(folder.rglob("*")) if p.is_file() and "samples" not in p.parts]
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in files}


def main() -> None:
    """Print what differs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("ref", help="commit, branch or tag to compare with")
    parser.add_argument("--few", action="store_true", help="samples as SVG only, every fourth template")
    parser.add_argument("--keep", type=Path, help="folder in which both sides' files are left")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as spare:
        work = (given.keep or Path(spare)).resolve()
        before, after, package = work / "before", work / "after", Path(spare) / "package"
        tree_of(given.ref, package)
        rows = commands(kinds_of(package), given.few)
        for folder in (before, after):
            folder.mkdir(parents=True)
        one, two = run(package, rows, before), run(ROOT, rows, after)
    ours = [name for name in one if name not in two], [name for name in two if name not in one]
    differ = [name for name in one if name in two and one[name] != two[name]]
    records = [name for name in differ if name.endswith("job.json")]
    for told, names in (
        (f"only at {given.ref}", ours[0]),
        ("only here", ours[1]),
        ("differs", [name for name in differ if name not in records]),
    ):
        for name in names:
            print(f"{told}: {name}")
    failed = [
        name for name in rows if two[f"said/{name}.txt"].rstrip().endswith((b"exit 2", b"exit 3", b"exit 4"))
    ]
    print(f"{len(rows)} commands, of which {len(failed)} refuse: {', '.join(failed) or 'none'}")
    print(f"{len(one)} files at {given.ref}, {len(two)} here")
    print(f"{len(differ) - len(records)} differ, {len(ours[0])} are missing, {len(ours[1])} are new")
    print(f"{len(records)} of {sum(n.endswith('job.json') for n in one)} job.json differ (counted apart)")


if __name__ == "__main__":
    main()
