"""The pictures of templates that the gallery and docs/TEMPLATES.md show: `python -m tests.gallery` draws them anew."""

from __future__ import annotations

import re
from pathlib import Path

from cutprep.job.gallery import GalleryEntry, drawn_picture, gallery
from cutprep.template.kinds import KINDS

DOCS = Path(__file__).parents[1] / "docs"
PICTURES = DOCS.parent / "cutprep" / "job" / "shown" / "kinds"
_MARKS = re.compile(r"(<!-- (gallery|options) -->\n).*?(<!-- end of \2 -->)", re.DOTALL)
_OPTIONS = ("round", "relief", "notch", "slit", "hang", "tear", "seam-side", "window", "text")


def rows(kinds: tuple[GalleryEntry, ...]) -> str:
    """One row a kind: its picture, and the letters in it."""
    found = ["| kind | flat and folded | letters |", "| --- | --- | --- |"]
    for kind in kinds:
        letters = ", ".join(f"{f.letter} {f.name}" for f in kind.fields if f.letter)
        picture = f'<img src="../cutprep/job/shown/kinds/{kind.name}.svg" alt="{kind.title}" width="360">'
        found.append(f"| `{kind.name}` | {picture} | {letters} |")
    return "\n".join(found) + "\n"


def option_rows() -> str:
    """One row a kind: which options it takes, and in which faces and edges."""
    found = [f"| kind | {' | '.join(f'`{name}`' for name in _OPTIONS)} | faces | edges |"]
    found.append("| --- |" + " :-: |" * len(_OPTIONS) + " --- | --- |")
    for kind in KINDS.values():
        taken = {d.name for d in kind.all_dimensions}
        marks = " | ".join("x" if name in taken else "" for name in _OPTIONS)
        found.append(f"| `{kind.name}` | {marks} | {', '.join(kind.faces)} | {', '.join(kind.edges)} |")
    return "\n".join(found) + "\n"


def page_of(text: str) -> str:
    """docs/TEMPLATES.md with both tables as the program has them."""
    told = {"gallery": rows(gallery()), "options": option_rows()}
    return _MARKS.sub(lambda m: m[1] + told[m[2]] + m[3], text)


if __name__ == "__main__":
    for old in PICTURES.glob("*.svg"):
        old.unlink()
    for name, kind in KINDS.items():
        (PICTURES / f"{name}.svg").write_text(drawn_picture(kind) + "\n", encoding="utf-8")
    page = DOCS / "TEMPLATES.md"
    page.write_text(page_of(page.read_text(encoding="utf-8")), encoding="utf-8")
