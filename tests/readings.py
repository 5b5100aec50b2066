"""Pages and pictures as a reader goes through them: a row for each heading, paragraph, row of a table and drawn line.

The readings in tests/data/readings were each gone through by a person beside the drawing they are of, and are kept, so that
whatever changes for the maker on a page is seen as a change there. `python -m tests.readings` writes them anew: read what
`git diff` shows before it goes in. Words are held to the letter, places in pictures to a tenth of a millimetre.
"""

from __future__ import annotations

import importlib
import json
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import html5lib
import numpy as np

FOLDER = Path(__file__).parent / "data" / "readings"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
#: Elements of a page that stand in a row of their own, and those that say nothing to a reader.
_ROWS = {"h1", "h2", "h3", "p", "li", "dt", "dd", "figcaption", "summary", "tr"}
_SILENT = {"style", "head"}
_FRAMES = {"style", "defs", "pattern"}
#: What an element of a picture is drawn by, beside its class and its text.
_PLACES = (
    "x",
    "y",
    "width",
    "height",
    "cx",
    "cy",
    "r",
    "transform",
    "font-size",
    "points",
    "x1",
    "y1",
    "x2",
    "y2",
)
_LOOKS = (
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "opacity",
    "text-anchor",
    "fill-rule",
    "href",
    "id",
)
#: A path of more numbers than this is summed up.
_LONG = 32


def page_rows(page: str) -> list[str]:
    """A page as its reader goes through it, the cautions left out, which have tests of their own."""
    root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    return list(_read(root))


def _read(element: Any) -> Iterator[str]:
    tag = _tag(element)
    if tag in _SILENT or element.get("class") == "cautions":
        return
    if tag == "svg":
        yield from _drawn(element)
        return
    if tag == "script":
        if element.get("type") == "application/json":
            yield from data_rows(json.loads(element.text))
        return
    if tag in _ROWS:
        words = _words(element)
        if words:
            yield f"{tag}: {words}"
        for picture in element.iter():
            if _tag(picture) == "svg" and picture.get("class") != "map":  # a sample in a legend
                yield from _drawn(picture)
        return
    for child in element:
        yield from _read(child)


def _tag(element: Any) -> str:
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def _words(element: Any) -> str:
    if element.tag == "tr":
        return " | ".join(_words(cell) for cell in element)
    text = "".join(_texts(element))
    return " ".join(text.replace("\u00a0", " ").split())


def _texts(element: Any) -> Iterator[str]:
    yield element.text or ""
    for child in element:
        if _tag(child) not in {"svg", "style", "script"}:
            yield " / " if child.tag == "br" else ""
            yield from _texts(child)
        yield child.tail or ""


def picture_rows(svg: str) -> list[str]:
    """A picture as rows of what is drawn in it."""
    root = html5lib.HTMLParser(namespaceHTMLElements=False).parseFragment(svg)
    return [row for child in root for row in _read(child)]


def _drawn(svg: Any) -> Iterator[str]:
    view = svg.get("viewBox") or ""
    size = " by ".join(filter(None, (svg.get("width"), svg.get("height"))))
    yield f"  picture {svg.get('class') or ''} {size} [{_rounded(view)}] {svg.get('aria-label') or ''}".rstrip()
    for element in svg.iter():
        tag = _tag(element)
        if element is svg or tag in _FRAMES or (tag == "g" and not element.attrib):
            continue
        places = " ".join(f"{key}={_rounded(element.get(key))}" for key in _PLACES if element.get(key))
        looks = " ".join(f"{key}={element.get(key)}" for key in _LOOKS if element.get(key))
        text = f" {_words(element)!r}" if tag in {"text", "tspan", "title"} else ""
        data = f" {_path(element.get('d'))}" if element.get("d") else ""
        style = f" {{{element.get('style')}}}" if element.get("style") else ""
        words = (tag, element.get("class") or "", places, looks)
        yield f"  {' '.join(filter(None, words))}{data}{style}{text}"


def _rounded(text: str) -> str:
    return _NUMBER.sub(lambda found: f"{float(found[0]):.1f}".removesuffix(".0"), text)


def _path(data: str) -> str:
    """A path; a long one by how many numbers it has, its first and its last, the least, the greatest and the mean."""
    numbers = np.array([float(found) for found in _NUMBER.findall(data)])
    if len(numbers) <= _LONG:
        return _rounded(data)
    told = [*numbers[:2], *numbers[-2:], numbers.min(), numbers.max(), numbers.mean()]
    strokes = data.count("M")
    return f"long path, {len(numbers)} in {strokes}: {' '.join(_rounded(f'{n:.4f}') for n in told)}"


def data_rows(data: Any, name: str = "") -> Iterator[str]:
    """Plain data as rows; a long list of numbers is summed up."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from data_rows(value, f"{name}.{key}" if name else str(key))
    elif isinstance(data, list) and not any(isinstance(one, str) for one in data) and data:
        flat = _NUMBER.findall(json.dumps(data))
        shape = f"{len(data)} rows, {len(flat)} numbers"
        if any(isinstance(one, dict) for one in data):
            for k, value in enumerate(data):
                yield from data_rows(value, f"{name}[{k}]")
        elif len(flat) > _LONG:
            yield f"  {name}: {shape}, {_path(' '.join(flat))}"
        else:
            yield f"  {name}: {_rounded(json.dumps(data))}"
    else:
        yield f"  {name}: {json.dumps(data, ensure_ascii=False)}"


def differences(name: str, rows: Iterable[str]) -> list[str]:
    """What a reading has otherwise than the one that is kept: the first few rows, told one under the other."""
    kept = (FOLDER / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    now = [row.rstrip() for row in "\n".join(rows).splitlines()]
    found = [f"kept: {a}\n now: {b}" for a, b in zip(kept, now, strict=False) if not same(a, b)]
    if len(kept) != len(now):
        found.append(f"{len(kept)} rows are kept, now there are {len(now)}")
    return found[:6]


def require_as_kept(name: str, rows: Iterable[str]) -> None:
    """Fail where a reading is otherwise than the one that is kept, and say in which rows."""
    found = differences(name, rows)
    assert not found, "\n".join((*found, "If it is to read so: python -m tests.readings"))


def same(kept: str, now: str) -> bool:
    """Whether a row reads as the one that is kept."""
    if kept == now:
        return True
    if not kept.startswith("  ") or _NUMBER.sub("#", kept) != _NUMBER.sub("#", now):
        return False
    return all(map(_near, _NUMBER.findall(kept), _NUMBER.findall(now)))


def _near(kept: str, now: str) -> bool:
    """Whether two figures differ by their last digit at most, which in pictures is a tenth."""
    digits = len(kept.partition(".")[2])
    return abs(float(kept) - float(now)) <= 1.1 * 10.0 ** -max(digits, 1)


def every_reading() -> dict[str, Callable[[], Iterable[str]]]:
    """What makes each reading that is kept, by its name: `READINGS` of the modules `tests.kept_*`."""
    modules = sorted(path.stem for path in Path(__file__).parent.glob("kept_*.py"))
    loaded = (importlib.import_module(f"tests.{name}") for name in modules)
    return {name: read for module in loaded for name, read in module.READINGS.items()}


def main() -> None:
    """Write all readings anew."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, read in every_reading().items():
        rows, file = [row.rstrip() for row in "\n".join(read()).splitlines()], FOLDER / f"{name}.txt"
        kept = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
        if len(kept) == len(rows):
            # What only another processor rounds otherwise is no change that anybody need look at.
            rows = [a if same(a, b) else b for a, b in zip(kept, rows, strict=True)]
        file.write_text("\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
