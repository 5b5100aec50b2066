"""The pictures of templates in docs/TEMPLATES.md: `python -m tests.gallery` draws them anew."""

from __future__ import annotations

import re
from pathlib import Path

from cutprep.job.gallery import GalleryEntry, gallery

DOCS = Path(__file__).parents[1] / "docs"
PICTURES = DOCS / "pictures" / "kinds"
_MARKS = re.compile(r"(<!-- gallery -->\n).*?(<!-- end of gallery -->)", re.DOTALL)


def rows(kinds: tuple[GalleryEntry, ...]) -> str:
    """One row a kind: its picture, and the letters in it."""
    found = ["| kind | flat and folded | letters |", "| --- | --- | --- |"]
    for kind in kinds:
        letters = ", ".join(f"{f.letter} {f.name}" for f in kind.fields if f.letter)
        picture = f'<img src="pictures/kinds/{kind.name}.svg" alt="{kind.title}" width="360">'
        found.append(f"| `{kind.name}` | {picture} | {letters} |")
    return "\n".join(found) + "\n"


if __name__ == "__main__":
    every = gallery()
    PICTURES.mkdir(exist_ok=True)
    for old in PICTURES.glob("*.svg"):
        old.unlink()
    for one in every:
        (PICTURES / f"{one.name}.svg").write_text(one.picture + "\n", encoding="utf-8")
    page = DOCS / "TEMPLATES.md"
    text = page.read_text(encoding="utf-8")
    page.write_text(_MARKS.sub(lambda m: m[1] + rows(every) + m[2], text), encoding="utf-8")
