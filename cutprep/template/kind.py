"""One kind of template: what it takes, how it is drawn, and what must come of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from cutprep import units
from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.tables import suggest
from cutprep.template.dimensions import Dimension, Expected, Values, number, refuse, said
from cutprep.template.options.every import OPTIONS
from cutprep.template.options.option import Places
from cutprep.template.sketch import Aids, Sketch

#: Dimensions of what hangs on a fold and ends free.
_FLAPS = frozenset({"tab", "flap", "seam", "tuck", "overlap"})

#: Larger both ways, or longer, is no sheet, mm; what the check tells of any drawing; common practice, no published source.
_LARGEST, _LONGEST = 1500.0, 2500.0


@dataclass(frozen=True, slots=True)
class KindOfTemplate:
    """A kind of template that can be drawn from dimensions.

    Attributes
    ----------
    name, title
        Key on the command line, and one line for the list.
    dimensions
        What it takes.
    draw
        Draws it from all dimensions by name; raises `JobError` for nonsense.
    source
        Where its arithmetic comes from.
    expect
        What must come of it.
    faces
        Names of the panels that can take a window, lace, a text or a hanging slot.
    pieces
        Names of its pieces, in the order in which they are drawn; empty for one piece, or for many that are alike.
    edges
        Names of the free edges that can take a thumb notch.
    locks
        Whether it has tuck flaps that slits can hold.
    reliefs
        Whether folds meet at corners of its outline, where a relief keeps the card from bunching up.
    tears
        Names of the faces that a tear line may cross.
    cards
        Whether it is a card or a tag, whose own corners can be rounded.
    bends
        Whether it is bent, not folded, so that its picture shows no folded piece.
    """

    name: str
    title: str
    dimensions: tuple[Dimension, ...]
    draw: Callable[[Values], Sketch]
    source: str
    expect: Callable[[Values], Expected]
    faces: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    edges: tuple[str, ...] = ()
    locks: bool = False
    reliefs: bool = False
    tears: tuple[str, ...] = ()
    cards: bool = False
    bends: bool = False

    @property
    def places(self) -> Places:
        """What it has for options."""
        flaps = any(d.name in _FLAPS for d in self.dimensions)
        return Places(self.faces, self.edges, self.locks, flaps, self.reliefs, self.tears, self.cards)

    @property
    def all_dimensions(self) -> tuple[Dimension, ...]:
        """Its own dimensions, and those of its options."""
        own = {d.name for d in self.dimensions}
        options = [d for option in OPTIONS for d in option.dimensions(self.places) if d.name not in own]
        return (*self.dimensions, *options)

    def values(self, **given: float | str) -> Values:
        """Fill numbers in mm, counts, words and texts up with the defaults.

        Raises
        ------
        JobError
            Naming the dimension, its value and its limits.
        """
        known = {d.name: d for d in self.all_dimensions}
        for key in given:
            self._refuse_unknown(key, known)
        found = {name: number(d, given.get(name, d.default)) for name, d in known.items()}
        texts = {
            name: text for name, d in known.items() if d.text and isinstance(text := given.get(name, ""), str)
        }
        return Values(found, texts)

    def _refuse_unknown(self, key: str, known: Mapping[str, Dimension]) -> None:
        if key not in known:
            raise JobError(f"{units.with_article(self.name)} has no '{key}'", fix=suggest(key, list(known)))

    def from_words(self, words: Mapping[str, str], unit: str = "mm") -> Drawing:
        """Draw from texts such as `length=150mm`; `unit` as for `read`.

        Raises
        ------
        JobError
            Naming the dimension, its value and its limits.
        """
        return self.from_values(**self.read(words, unit))

    def read(self, words: Mapping[str, str], unit: str = "mm") -> dict[str, float | str]:
        """Read texts such as `length=150mm`, as `from_values` takes them.

        Parameters
        ----------
        words
            Texts by name of dimension.
        unit
            In which the maker works; see `usual`.

        Raises
        ------
        JobError
            Naming the dimension and its value.
        """
        known = {d.name: d for d in self.all_dimensions}
        for key in words:
            self._refuse_unknown(key, known)
        return self.usual(words, unit) | {key: said(known[key], text) for key, text in words.items()}

    def usual(self, words: Mapping[str, str], unit: str = "mm") -> dict[str, float | str]:
        """What comes out in eighths of an inch instead of a default in mm, by name, mm; empty for one who works in mm.

        A size of a standard stays what it is, unless one of its sides is among `words`.
        A maker works in inches who says so by `unit`, "in", or by a word among `words` with inches for its unit.
        """
        if units.worked_in(words.values(), unit) != "in":
            return {}
        whole = not any(d.standard and d.name in words for d in self.dimensions)
        return {
            d.name: d.usual("in", whole=whole) for d in self.dimensions if d.plain and d.name not in words
        }

    def from_values(self, **values: float | str) -> Drawing:
        """Draw from numbers in mm, counts, words and texts; what is not named takes its default.

        Raises
        ------
        JobError
            Naming the dimension, its value and its limits.
        """
        given = self.values(**values)
        drawing = self._sketch(given).drawing()
        self._refuse_large(drawing, given)
        return drawing

    def seen(self, **values: float | str) -> Aids:
        """What a picture shows beside the drawing of these dimensions; raises as `from_values` does."""
        return self._sketch(self.values(**values)).seen()

    def _sketch(self, given: Values) -> Sketch:
        sketch = self.draw(given)
        for option in OPTIONS:
            option.add(sketch, given, self.places)
        if self.pieces:
            sketch.name_pieces(self.pieces)
        return sketch

    def _refuse_large(self, drawing: Drawing, d: Values) -> None:
        width, height = drawing.page or (0.0, 0.0)
        largest = max((one for one in self.dimensions if one.plain), key=lambda one: d[one.name])
        refuse(
            min(width, height) > _LARGEST or max(width, height) > _LONGEST,
            f"drawn flat, the {self.name} measures {width:.0f} x {height:.0f} mm: no sheet is as large",
            f"Use a smaller {largest.name} than {d[largest.name]:g} mm, or fewer pieces.",
        )
