"""Outlines of the fonts on the maker's machine, read by fontTools when it is installed.

A glyph's outlines are drawn as they stand: closed lines for the pen. Sources: OpenType specification 1.9, tables `name` (13:
licence, 14: where it stands), `OS/2` (height of capitals), `cmap`, `hmtx`.
"""

from __future__ import annotations

import io
import os
import unicodedata
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from cutprep.errors import JobError
from cutprep.files import load_bytes
from cutprep.geometry.curves.flatten import cubics, quadratics
from cutprep.job.settings.forms import FONTS
from cutprep.model.lines import Flags, Points
from cutprep.model.text import CAPITAL
from cutprep.tables import suggest

#: Where systems keep their fonts; common practice, no published source.
_FOLDERS = (
    "~/.fonts", "~/.local/share/fonts", "/usr/share/fonts", "/usr/local/share/fonts",
    "~/Library/Fonts", "/Library/Fonts", "/System/Library/Fonts",
    "$WINDIR/Fonts", "$LOCALAPPDATA/Microsoft/Windows/Fonts",
)  # fmt: skip
#: Numbers in the `name` table: family, full name, licence, where the licence stands.
_FAMILY, _FULL, _LICENCE, _LICENCE_AT = 1, 4, 13, 14
_LONGEST = 160
#: The largest fonts, of all Chinese letters, hold some 30 MB.
_LARGEST = 100_000_000


class Font:
    """One font.

    Parameters
    ----------
    font
        As fontTools reads it.
    path
        Its file.
    """

    def __init__(self, font: Any, path: Path) -> None:
        self._font, self._path = font, path
        self._characters = font.getBestCmap() or {}
        self._glyphs = font.getGlyphSet()
        said = getattr(font["OS/2"], "sCapHeight", 0) if "OS/2" in font else 0
        self._capital = float(said or self._height_of("H") or CAPITAL * font["head"].unitsPerEm)

    def _height_of(self, letter: str) -> float:
        """Height of a letter, units of the font; 0 when it has none."""
        if ord(letter) not in self._characters:
            return 0.0
        pen = import_module("fontTools.pens.boundsPen").BoundsPen(self._glyphs)
        self._glyphs[self._characters[ord(letter)]].draw(pen)
        return float(pen.bounds[3]) if pen.bounds else 0.0

    @property
    def name(self) -> str:
        """Its full name."""
        return self._font["name"].getDebugName(_FULL) or self._path.stem

    @property
    def licence(self) -> str:
        """What its licence says, in one sentence."""
        table = self._font["name"]
        said = " ".join((table.getDebugName(_LICENCE) or "").split())
        where = table.getDebugName(_LICENCE_AT) or ""
        short = f"{said[:_LONGEST]} ..." if len(said) > _LONGEST else said
        told = " ".join(filter(None, (short, where and f"({where})")))
        return f"the font {self.name} ({self._path.name}) " + (
            f"is under this licence: {told}" if told else "names no licence: ask who made it"
        )

    def missing(self, text: str) -> str:
        """Letters that it lacks, each once, in the order of the text."""
        return "".join(dict.fromkeys(c for c in _composed(text) if ord(c) not in self._characters))

    def write(self, text: str, height: float, sagitta: float) -> tuple[list[tuple[Points, Flags]], float]:
        """Write a text in one line, as outlines.

        Parameters
        ----------
        text
            Of letters that it has.
        height
            Of a capital, mm.
        sagitta
            Largest chord error, mm.

        Returns
        -------
        list of ((n, 2) ndarray of float, (n,) ndarray of bool)
            Closed outlines, mm, and which vertices lie inside a flattened curve.
        float
            Width of the text, mm.
        """
        pens = import_module("fontTools.pens.recordingPen")
        scale, x = height / self._capital, 0.0
        rings: list[tuple[Points, Flags]] = []
        for character in _composed(text):
            glyph = self._glyphs[self._characters[ord(character)]]
            pen = pens.DecomposingRecordingPen(self._glyphs)
            glyph.draw(pen)
            rings += [
                ((ring + np.array([x, 0.0])) * scale, curved)
                for ring, curved in _rings(pen.value, sagitta / scale)
            ]
            x += float(glyph.width)
        return rings, x * scale


def _composed(text: str) -> str:
    return unicodedata.normalize("NFC", text)


def _rings(commands: list[tuple[str, Any]], sagitta: float) -> Iterator[tuple[Points, Flags]]:
    """Closed outlines of a glyph, flattened; in the font's units."""
    points: list[Points] = []
    curved: list[bool] = []
    for word, given in commands:
        if word == "moveTo":
            points, curved = [np.array(given[0], dtype=np.float64)], [False]
        elif word == "lineTo":
            points.append(np.array(given[0], dtype=np.float64))
            curved.append(False)
        elif word in ("curveTo", "qCurveTo"):
            for control in _curves(points[-1] if points else None, given, quadratic=word == "qCurveTo"):
                inner, _ = (quadratics if len(control) == 3 else cubics)([control], sagitta)
                points += [*inner, control[-1]]
                curved += [True] * len(inner) + [False]
        elif len(points) > 2:
            ring, flags = np.array(points), np.array(curved)
            if (ring[0] != ring[-1]).any():
                ring, flags = np.vstack((ring, ring[:1])), np.append(flags, False)
            if len(ring) > 3:
                yield ring, flags


def _curves(begin: Points | None, given: Any, *, quadratic: bool) -> Iterator[list[Points]]:
    """Single curves of a run; a quadratic run has its on-curve points left out between controls."""
    spots = [None if p is None else np.array(p, dtype=np.float64) for p in given]
    if not quadratic:
        assert begin is not None
        yield [begin, *(p for p in spots if p is not None)]
        return
    controls = [p for p in spots[:-1] if p is not None]
    end = spots[-1]
    if end is None:  # an outline without any point on it
        begin = end = (controls[-1] + controls[0]) / 2
    assert begin is not None
    for k, control in enumerate(controls):
        stop = end if k == len(controls) - 1 else (control + controls[k + 1]) / 2
        yield [begin, control, stop]
        begin = stop


def open_font(name: str) -> Font:
    """Open a font by its file, or by its name among those of the machine.

    Raises
    ------
    JobError
        When there is none, or what reads fonts is not installed.
    """
    try:
        library = import_module("fontTools.ttLib")
    except ImportError:
        raise JobError(
            "fonts can't be read, because fontTools is not installed",
            fix="Install cutprep[fonts], or leave the font out: then names are written in single strokes.",
        ) from None
    asked = Path(name)
    if asked.suffix.lower() in FONTS:
        return Font(_load(library, asked, name), asked)
    found = _plain(name)
    files = _installed()
    for path in files:
        if _plain(path.stem) == found:
            return Font(_load(library, path, name), path)
    families: list[str] = []
    for path in files:
        try:
            font = _load(library, path, name)
            names = [str(font["name"].getDebugName(n) or "") for n in (_FULL, _FAMILY)]
        except (JobError, KeyError):
            continue
        if found in map(_plain, names):
            return Font(font, path)
        families += names
    raise JobError(
        f"this machine has no font '{name}'", fix=suggest(name, sorted({f for f in families if f}))
    )


def _load(library: Any, path: Path, name: str) -> Any:
    try:
        font = library.TTFont(io.BytesIO(load_bytes(path, _LARGEST)), fontNumber=0, lazy=True)
        for table in ("head", "hmtx", "name", "cmap"):
            font[table]
    except Exception as fault:  # noqa: BLE001 - the door: a damaged font may throw anything
        missing = isinstance(fault, FileNotFoundError)
        raise JobError(
            f"there is no font file '{path.name}'"
            if missing
            else f"the font '{name}' can't be read ({type(fault).__name__}: {str(fault)[:80]})",
            fix="Check the name and the folder." if missing else "Use another font.",
        ) from None
    return font


def _installed() -> list[Path]:
    """Fonts of the machine, those that are plain before bold and slanted ones."""
    found: list[Path] = []
    for folder in _FOLDERS:
        home = Path(os.path.expandvars(folder)).expanduser()
        if "$" not in str(home) and home.is_dir():
            found += [path for path in home.rglob("*") if path.suffix.lower() in FONTS]
    return sorted(found, key=lambda path: (len(path.stem), str(path)))


def _plain(name: str) -> str:
    return "".join(c for c in name.lower() if c.isalnum()).removesuffix("regular")
