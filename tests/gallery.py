"""The pictures of templates that the gallery and docs/TEMPLATES.md show: `python -m tests.gallery` draws them anew."""

from __future__ import annotations

import re
from pathlib import Path

from cutprep.job.gallery import GalleryEntry, drawn_picture, gallery
from cutprep.template.kinds import KINDS

DOCS = Path(__file__).parents[1] / "docs"
PICTURES = DOCS.parent / "cutprep" / "job" / "shown" / "kinds"
_MARKS = re.compile(r"(<!-- gallery -->\n).*?(<!-- end of gallery -->)", re.DOTALL)


def rows(kinds: tuple[GalleryEntry, ...]) -> str:
    """One row a kind: its picture, and the letters in it."""
    found = ["| kind | flat and folded | letters |", "| --- | --- | --- |"]
    for kind in kinds:
        letters = ", ".join(f"{f.letter} {f.name}" for f in kind.fields if f.letter)
        picture = f'<img src="../cutprep/job/shown/kinds/{kind.name}.svg" alt="{kind.title}" width="360">'
        found.append(f"| `{kind.name}` | {picture} | {letters} |")
    return "\n".join(found) + "\n"


if __name__ == "__main__":
    for old in PICTURES.glob("*.svg"):
        old.unlink()
    for name, kind in KINDS.items():
        (PICTURES / f"{name}.svg").write_text(drawn_picture(kind) + "\n", encoding="utf-8")
    every = gallery()
    page = DOCS / "TEMPLATES.md"
    text = page.read_text(encoding="utf-8")
    page.write_text(_MARKS.sub(lambda m: m[1] + rows(every) + m[2], text), encoding="utf-8")
