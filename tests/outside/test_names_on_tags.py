"""Sixty names on sixty tags, read off the machine files by other means than cutprep's own.

The files are read by a reader of a few lines, after the instructions PU, PD, PA and SP as HP's *7470A Interfacing and
Programming Manual* (1984) describes them, 40 units a millimetre; shapely says what lies in what. What stands on
a tag is told by the letters that A. V. Hershey drew (NBS, 1967) as the library Hershey-Fonts has them: every stroke of a name's
letters must be there, and besides them nothing but its accents.
"""

from __future__ import annotations

import math
import re
import unicodedata
from itertools import product
from pathlib import Path

import numpy as np
import pytest
import shapely
from HersheyFonts import HersheyFonts
from shapely import affinity

import cutprep
from tests.cli.test_more_commands import good

_INSTRUCTION = re.compile(r"(PU|PD|PA|SP)([-\d.,]*)")
#: Letters that Unicode does not take apart, and what is struck through.
_STRUCK = str.maketrans("ØøŁłĐđ", "OoLlDd")
#: Made up for the fair: accents of many languages, and long names that are written smaller.
HELPERS = """\
Ana|Béla|Čeněk|Dušan|Élodie|Fatoş|Gwenaëlle|Håkon|İpek|Jiří|Kåre|Łukasz|Māra|Niño|Øystein|Përparim|Quim|Ružica
Sørine|Tõnu|Ülle|Věra|Włodek|Xiána|Ýrsa|Žydrė|Àlex|Bengü|Çağla|Đurđa|Ewa|François|Gülşah|Hédi|Ingrid|Jörg|Kűrtös|Línea|Măriuca
Nora Lindqvist-Østergård|Ondřej|Pál|Rúnar|Saša|Țuțea|Uršula|Vítězslav|Wiebke|Yaël|Zoë|Anna-Łucja|Ben|Cäcilie|Dörte|Esmé
Friederike Weißgerber|Gréta|Hélène de la Ruche-Dorée|Ivana|Maximiliána Przybyszewska""".replace(
    "\n", "|"
).split("|")
#: Clear of the knife's turns at a tag's corners, and as near as two readings of a stroke lie, mm.
_CLEAR, _NEAR = 1.0, 0.06
#: Units of the alphabet in a capital, and mm for one where it is written as high as is asked for.
_CAPITAL = 21.0
_FULL = 7.0 / _CAPITAL
#: Accents and bars at both ends of a name reach no further beyond its letters, mm.
_STICKS_OUT = 3.0
#: Holders of the machine.
KNIFE, PEN = 1, 3

Stroke = shapely.LineString


def strokes(text: str) -> list[tuple[int, Stroke]]:
    """Tool and course, mm, of every run with the tool down."""
    here, tool, down = (0.0, 0.0), 0, False
    runs: list[tuple[int, list[tuple[float, float]]]] = []
    for word, numbers in _INSTRUCTION.findall(text):
        if word == "SP":
            tool = int(numbers or 0)
            continue
        if word != "PA":
            down = word == "PD"
        values = [float(v) / 40 for v in numbers.split(",") if v]
        for there in zip(values[::2], values[1::2], strict=True):
            if not down:
                runs.append((tool, [there]))
            elif runs:
                runs[-1][1].append(there)
            here = there
    assert here == (0.0, 0.0)  # the tool is put away
    return [(tool, Stroke(points)) for tool, points in runs if len(points) > 1]


def upright(ink: shapely.Geometry, tag: shapely.Polygon, hole: shapely.Polygon) -> shapely.Geometry:
    """What is written on a tag, turned until its hole is above."""
    (x, y), (u, v) = (shapely.get_coordinates(shape.centroid)[0] for shape in (tag, hole))
    quarters = round(np.degrees(np.arctan2(v - y, u - x)) / 90) - 1
    return affinity.rotate(ink, -90 * quarters, origin=(x, y))


class Written:
    """A name as its letters are drawn, in units of the alphabet, without accents."""

    def __init__(self, name: str, font: HersheyFonts) -> None:
        apart = unicodedata.normalize("NFD", name.translate(_STRUCK).replace("ß", "ss"))
        bare = "".join(c for c in apart if not unicodedata.combining(c))
        self.name, self.marked = name, bare != name.replace("ß", "ss")
        glyphs, x, drawn = font.all_glyphs, 0.0, []
        for letter, marks in zip(bare, marks_of(apart), strict=True):
            glyph = glyphs[letter]
            rows = [np.array(s, dtype=np.float64) * [1, -1] for s in glyph.strokes if len(s) > 1]
            if letter in "ij" and marks:  # a mark takes the place of the dot
                rows = [row for row in rows if row[:, 1].max() < _CAPITAL - 9 - 4]
            drawn += [row + np.array([x - glyph.left_offset, 0.0]) for row in rows]
            x += glyph.char_width
        self.lines = shapely.MultiLineString(drawn)
        self.points = shapely.get_coordinates(self.lines)
        self.wide = float(np.ptp(self.points[:, 0]))
        self.length = float(self.lines.length)

    def is_on(self, ink: Ink) -> bool:
        """Whether this is what a pen wrote: every stroke, and nothing but accents besides."""
        for scale in {_FULL, min(_FULL, ink.wide / self.wide)}:
            length = scale * self.length
            most = length * (1.6 if self.marked else 1.0) + 1
            if not (abs(scale * self.wide - ink.wide) < _STICKS_OUT and length - 1 < ink.length < most):
                continue
            lines = scale * self.points
            lefts, feet = (ink.begins[axis] - lines[:, axis].min() for axis in (0, 1))
            for shift in product(lefts, feet):
                # Most places are told by where the name begins.
                if shapely.contains_xy(ink.near, *(lines[0] + shift)):
                    there = shapely.transform(self.lines, lambda row, s=scale, to=shift: s * row + to)
                    if ink.near.covers(there):
                        rest = ink.shape.difference(there.buffer(_NEAR)).length
                        return bool(rest > 0.2) == self.marked
        return False


class Ink:
    """What a pen wrote on a tag, and what lies as near as two readings of it."""

    def __init__(self, shape: shapely.Geometry) -> None:
        self.shape, self.near = shape, shape.buffer(_NEAR)
        shapely.prepare(self.near)
        self.wide = float(np.ptp(shapely.get_coordinates(shape)[:, 0]))
        self.length = float(shape.length)
        lows = shapely.bounds(shapely.get_parts(shape))[:, :2].round(3)
        #: Where a name without its accents may begin, from the left and from below: where a stroke does; accents may reach further.
        self.begins = [np.unique(lows[:, axis])[:3] for axis in (0, 1)]


def marks_of(apart: str) -> list[str]:
    """The accents of each letter of a word that is taken apart."""
    found: list[str] = []
    for c in apart:
        if unicodedata.combining(c):
            found[-1] += c
        else:
            found.append("")
    return found


def test_sixty_names_are_on_sixty_tags_each_once(tmp_path: Path) -> None:
    assert len(set(HELPERS)) == 60
    path = tmp_path / "tag.svg"
    good(
        "template",
        "swing-tag",
        "width=60mm",
        "height=40mm",
        "text={name}",
        "text-height=7mm",
        "--out",
        path,
    )
    outcome = cutprep.prepare(path, names=HELPERS, machine="mat-cutter-300", language="hpgl", effort="quick")
    font = HersheyFonts()
    font.load_default_font("rowmans")
    names = [Written(name, font) for name in HELPERS]
    found: list[str] = []
    for sheet in outcome.sheets:
        every = [stroke for file in sheet.files for stroke in strokes(file.text)]
        pen, knife = ([line for tool, line in every if tool == one] for one in (PEN, KNIFE))
        rings = [shapely.convex_hull(line) for line in knife]
        tags = [ring for ring in rings if ring.area == pytest.approx(60 * 40, rel=0.03)]
        holes = [ring for ring in rings if ring.area == pytest.approx(math.pi * 2**2, rel=0.1)]
        assert len(tags) == len(holes) == (len(knife) - 1) / 2  # one more turns the knife the right way
        inside = [
            [line for line in pen if room.covers(line)] for room in (tag.buffer(-_CLEAR) for tag in tags)
        ]
        assert sum(len(lines) for lines in inside) == len(pen)  # each stroke on one tag, none off them
        for tag, lines in zip(tags, inside, strict=True):
            (hole,) = (one for one in holes if tag.covers(one))
            assert all(line.distance(hole) > _CLEAR for line in lines)
            ink = Ink(upright(shapely.MultiLineString(lines), tag, hole))
            (name,) = (one.name for one in names if one.is_on(ink))
            found.append(name)
    assert sorted(found) == sorted(HELPERS)
