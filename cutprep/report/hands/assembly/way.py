"""Steps while they are being put together: what to do, which folds are made by then, which panels it is about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import Enum

from cutprep.model.folded import Flap, FoldReport
from cutprep.report.hands.assembly.structure import PanelTree

#: With flaps inside more walls than this a sentence names them by their letters only.
_FEW = 3
FILL = "Put in what belongs inside."


class Do(Enum):
    """What hands do in a step; the class sheet lists the tools of each."""

    BLANK = "blank"
    SCORE = "score"
    OPENINGS = "openings"
    OUTLINE = "outline"
    CREASE = "crease"
    FOLD = "fold"
    GLUE = "glue"
    TAPE = "tape"
    TUCK = "tuck"
    STICKER = "sticker"
    TIE = "tie"
    FILL = "fill"
    JOIN = "join"


class Beside(Enum):
    """What else a piece has to do with: nothing, other pieces, or a lid that holds its loose walls."""

    NOTHING = "nothing"
    PIECES = "other pieces"
    LID = "a lid that holds its walls"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do.

    Attributes
    ----------
    do
        What kind of thing.
    text
        One sentence.
    folded
        Share of its full angle that each fold has when the step is done; empty: no folded picture.
    lit
        Panels that the step is about.
    scores
        Numbers of the scores that it is about.
    """

    do: Do
    text: str
    folded: tuple[float, ...] = ()
    lit: tuple[int, ...] = ()
    scores: tuple[int, ...] = ()


@dataclass
class AssemblyWay:
    """The steps of one piece, and which folds are made so far."""

    hung: PanelTree
    beside: Beside = Beside.NOTHING
    share: list[float] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.share = [0.0] * len(self.hung.report.hinges)

    @property
    def report(self) -> FoldReport:
        """The piece."""
        return self.hung.report

    def fold(self, pairs: Iterable[tuple[int, int]], share: float = 1.0) -> None:
        """Make the folds between pairs of panels."""
        for a, b in pairs:
            self.share[self.hung.near[a][b]] = share

    def fold_all(self, panels: Iterable[int], share: float = 1.0) -> None:
        """Make every fold that touches some panels."""
        for panel in panels:
            self.fold(((panel, k) for k in self.hung.near[panel]), share)

    def fold_flaps(self, flaps: Iterable[Flap]) -> None:
        """Fold flaps against what they hang on."""
        self.fold((f.panel, f.on) for f in flaps)

    def say(self, do: Do, text: str, lit: Iterable[int] = ()) -> None:
        """Add a step as things stand."""
        self.steps.append(Step(do, text, tuple(self.share), tuple(sorted(set(lit)))))

    def say_fill(self, text: str = FILL) -> None:
        """Add the step in which the piece is filled."""
        self.say(Do.FILL, text)

    def say_fill_for_good(self) -> None:
        """Add the step in which a piece is filled that opens no more."""
        self.say_fill(f"{FILL[:-1]}: the next step closes it for good.")

    def say_last_side(self, last: int, closing: Sequence[Flap]) -> None:
        """Add the step that closes a piece for good by its last side, with the flaps that hold it."""
        how = f"glue {self.onto(closing, 'side')}" if closing else "tape its edges, which have no glue flaps"
        do = Do.GLUE if closing else Do.TAPE
        self.say(do, f"Close the last side {self.name(last)}: {how}.", {last, *lit_of(closing)})

    def name(self, *panels: int) -> str:
        """Letters of panels as words: `A`, `A and B`, `A, B and C`."""
        return listed([self.report.panels[k].name for k in sorted(set(panels))])

    def named(self, word: str, panels: Iterable[int]) -> str:
        """The same behind a word in singular or plural: `wall A`, `walls A and B`."""
        some = set(panels)
        return f"{many(word, len(some))} {self.name(*some)}"

    def onto(self, flaps: Sequence[Flap], word: str) -> str:
        """Flaps by the panel they go inside: `flaps F and H inside wall B, and flap G inside wall C`."""
        targets: dict[int, list[int]] = {}
        for flap in flaps:
            if flap.target is not None:
                targets.setdefault(flap.target, []).append(flap.panel)
        pairs = sorted(targets.items())
        if len(pairs) > _FEW:
            short = listed([f"{self.name(*mine)} in {self.name(t)}" for t, mine in pairs])
            return f"its {sum(len(m) for _, m in pairs)} flaps inside the {word}s they meet ({short})"
        return listed([f"{self.named('flap', mine)} inside {word} {self.name(t)}" for t, mine in pairs])


def listed(words: Sequence[str]) -> str:
    """Words as a list in a sentence."""
    return "".join(words) if len(words) < 2 else f"{', '.join(words[:-1])} and {words[-1]}"


def many(word: str, count: int) -> str:
    """A word in singular or plural."""
    if count == 1:
        return word
    return word[:-1] + "ies" if word.endswith("py") else f"{word}s"


def not_glued(count: int) -> str:
    """That so many flaps are only folded."""
    return "it is not glued" if count == 1 else "they are not glued"


def lit_of(flaps: Iterable[Flap]) -> set[int]:
    """Panels of flaps."""
    return {f.panel for f in flaps}
